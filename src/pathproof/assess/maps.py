"""`floor_map`: one map of one storey of a job, whatever is asked for.

For maps that follow edits, and for the same site asked again and again, see
`pathproof.assess.what_if` and `pathproof.assess.kept_maps`.
"""

from datetime import datetime

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.job import Job, Profile

__all__ = ["floor_map"]


def floor_map(
    job: Job,
    what: MapOf,
    floor_id: str,
    as_of: datetime,
    *,
    cell_m: float | None = None,
    profile: Profile | None = None,
) -> FloorMap:
    """A map of one storey.

    Parameters
    ----------
    job : Job
        Site with its plan.
    what : MapOf
        What to map.
    floor_id : str
        The storey.
    as_of : datetime
        The moment to judge at, as for `assess`; confirmed limits count.
    cell_m : float, optional
        Side of a cell; unless given 0.5 m, and larger on a large storey. [m]
    profile : Profile, optional
        Limits to judge by; the job's own unless given.

    Returns
    -------
    floor_map : FloorMap
        NaN outside the storey.

    Raises
    ------
    JobError
        No such storey, device or network, nothing to map, too many cells, or `as_of` has no offset.
    """
    # Either way loads what the other has no need of, and one of them the compiler.
    if what.kind is MapKind.NETWORK:
        from pathproof.assess.network_level import network_level_map

        network = what.about or ""
        return network_level_map(job, floor_id, network, as_of, cell_m=cell_m, profile=profile)
    from pathproof.assess.what_if import SiteMaps

    return SiteMaps(job, as_of, profile).floor_map(what, floor_id, cell_m)
