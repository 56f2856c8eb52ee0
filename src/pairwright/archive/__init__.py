"""Where things are kept: the works folder and the record.

What needs the data base is imported by module, so that a command without a record does not pay for it:
`record.open_record`, `backup.backup`, `backup.restore`, `verify.verify_file`, `selfcheck.self_check`,
`attachments.keep`.
"""

from pairwright.archive.folder import read_folder, write_file, write_folder

__all__ = ["read_folder", "write_file", "write_folder"]
