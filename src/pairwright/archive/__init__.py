"""Where things are kept: the works folder, and later the record."""

from pairwright.archive.folder import read_folder, write_file, write_folder

__all__ = ["read_folder", "write_file", "write_folder"]
