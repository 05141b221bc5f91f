"""What a disk answered, in words that say what to do."""

from __future__ import annotations

import errno

_WORDS = {
    errno.ENOSPC: "the disk is full: make room and run the command again",
    errno.EDQUOT: "the disk is full for you: make room and run the command again",
    errno.EFBIG: "the file may not grow further",
    errno.EROFS: "the disk can only be read: name a place on another one",
    errno.EACCES: "you have no right to write there: name another place, or get the right",
    errno.EPERM: "the system does not allow it: name another place, or get the right",
    errno.EBUSY: "another program holds it: close that and run the command again",
    errno.ETXTBSY: "another program holds it: close that and run the command again",
    errno.ENOTDIR: "there is a file where a folder should be: name another place",
    errno.EISDIR: "there is a folder of this name: take it away, or name another place",
    errno.EEXIST: "something else has this name: take it away, or name another place",
    errno.ENOENT: "the folder is not there (any more): make it, or name another place",
    errno.ELOOP: "a link leads in circles or out of the folder: take it away, or name another place",
    errno.ENAMETOOLONG: "the name is too long for this disk: name a shorter one",
    errno.EIO: "the disk has failed: look after it before you trust it with anything",
    errno.ENODEV: "no such device is there",
    errno.EXDEV: "part of the folder lies on another disk: name a folder that lies on one",
    errno.ESTALE: "the network drive has gone away: join it again and run the command again",
}


_NOT_READ = {
    errno.EACCES: "you have no right to it: get the right, or work on a copy of your own",
    errno.EPERM: "you have no right to it: get the right, or work on a copy of your own",
    errno.ENOENT: "it is not there (any more): check the name and the folder",
    errno.ENOTDIR: "there is a file where a folder should be: check the name",
    errno.EISDIR: "it is a folder: name the file in it",
    errno.ELOOP: "its links lead in circles: name the file itself",
    errno.ENAMETOOLONG: "the name is too long for this disk: check the name",
    errno.ENXIO: "it is no file",
}


class Told(OSError):
    """A refusal of our own, which says itself what to do."""


def why(error: OSError) -> str:
    """What went wrong in writing and what to do about it."""
    if isinstance(error, Told):
        return str(error.strerror)
    return _WORDS.get(error.errno or 0, error.strerror or str(error) or "the system did not say why")


def unread(error: OSError) -> str:
    """What went wrong in reading and what to do about it."""
    return _NOT_READ.get(error.errno or 0) or why(error)
