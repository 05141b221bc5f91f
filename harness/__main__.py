"""Runs the command line as ``python -m harness``."""

from harness.cli import main

if __name__ == "__main__":
    main(prog_name="harness")
