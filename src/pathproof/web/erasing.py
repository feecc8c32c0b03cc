"""A job erased for good: its rows, what was sent for it, and what is known of it in memory."""

import shutil
import time
from typing import Final
from uuid import UUID

from django.conf import settings

from pathproof.web.backup.writing import COPIES
from pathproof.web.jobs import answers, store
from pathproof.web.survey import _maps, importing
from pathproof.web.works import forget

_LONGEST_BACKUP_S: Final = 86_400.0


def erase_all(job_id: UUID) -> bool:
    """Take a job out for good; whether the database's log is overwritten already.

    Raises
    ------
    StoredJob.DoesNotExist
        There is none.
    """
    from pathproof.assess.kept_maps import KEPT_MAPS  # loads the compiler

    overwritten = store.erase(job_id)
    importing.throw_away_of(job_id)
    answers.forget(job_id)
    _maps.forget(job_id)
    KEPT_MAPS.drop(str(job_id))
    forget(lambda key: isinstance(key, tuple) and job_id in key)
    return overwritten


def tidy() -> None:
    """Take out what should not stay: plans nobody accepted, copies left over, the log."""
    importing.sweep()
    for folder in settings.DATA.glob(f"{COPIES}*"):
        if time.time() - folder.stat().st_mtime > _LONGEST_BACKUP_S:
            shutil.rmtree(folder, ignore_errors=True)
    store.overwrite_log()
