"""Files that come whole or not at all, whoever is killed, refused or in a hurry."""
