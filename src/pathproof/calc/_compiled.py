"""The one way in which functions of `calc` are compiled."""

from collections.abc import Callable
from typing import TypeVar, cast

from numba import njit

Function = TypeVar("Function", bound=Callable[..., object])


def compiled(signature: str, *, inline: bool = False) -> Callable[[Function], Function]:
    """A decorator that compiles at import for one signature, and keeps the result on disk.

    No fast-math: floating-point results must not depend on the machine or on the order in which
    the compiler would like to work. `inline` puts the function into those that call it, which pays
    for short ones that are handed arrays.
    """
    decorator = njit(
        signature,
        cache=True,
        nogil=True,
        fastmath=False,
        forceinline=inline,
        error_model="numpy",
    )
    return cast(Callable[[Function], Function], decorator)
