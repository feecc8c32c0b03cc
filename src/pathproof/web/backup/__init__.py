"""Everything that the app keeps in one file, and back out of it on SQLite or PostgreSQL."""

from pathproof.web.backup.restoring import Restored, restore
from pathproof.web.backup.writing import Written, write_backup

__all__ = ["Restored", "Written", "restore", "write_backup"]
