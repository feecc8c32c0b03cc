"""Maps of the sites that people work on now, kept in memory for a serving process."""

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock, RLock

from pathproof.assess.what_if import SiteMaps
from pathproof.job import Job, Profile

__all__ = ["KEPT_MAPS", "KeptMaps"]


@dataclass(kw_only=True, eq=False)
class _Kept:
    """The maps of one site, and who may use them now."""

    lock: AbstractContextManager[bool] = field(default_factory=RLock)
    maps: SiteMaps | None = None


class KeptMaps:
    """The maps of the few sites that were used last, shared by threads.

    Parameters
    ----------
    most : int
        How many sites; of more, those not used for longest are dropped.
    """

    def __init__(self, most: int = 2) -> None:
        self._most = most
        self._lock = Lock()
        self._sites: OrderedDict[str, _Kept] = OrderedDict()

    @contextmanager
    def of(
        self, key: str, job: Job, as_of: datetime, profile: Profile | None = None
    ) -> Iterator[SiteMaps]:
        """The maps of a site as it is in `job`, for the caller alone until the block ends.

        Another thread that asks for the same site waits, and then finds done what was done; other
        sites are not held up. A thread that asks again within its own block gets the same maps,
        then as in the job it gave last.

        Edit the job given last by `model_copy`, so that both share what did not change: that is
        what tells edits cheaply. One parsed anew is compared item by item.

        Parameters
        ----------
        key : str
            Names the site, and whatever else keeps people's edits apart.
        job, as_of, profile
            As for `SiteMaps`.

        Raises
        ------
        JobError
            As for `SiteMaps`.
        """
        kept = self._used(key)
        with kept.lock:
            if kept.maps is None:
                kept.maps = SiteMaps(job, as_of, profile)
            else:
                kept.maps.update(job)
                kept.maps.judge_by(as_of, profile)
            yield kept.maps

    def drop(self, key: str) -> None:
        """Keep the maps of a site no longer than whoever uses them now."""
        with self._lock:
            self._sites.pop(key, None)

    def _used(self, key: str) -> _Kept:
        with self._lock:
            kept = self._sites.setdefault(key, _Kept())
            self._sites.move_to_end(key)
            while len(self._sites) > self._most:
                self._sites.popitem(last=False)
            return kept


KEPT_MAPS = KeptMaps()
"""Those of this process."""
