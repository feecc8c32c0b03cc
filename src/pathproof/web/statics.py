"""Which files browsers get: our own, and a few out of installed packages, named one by one."""

from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage, Storage


def _static_of(package: str) -> Path:
    """The folder with a package's browser files; the package itself is not loaded."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError(f"{package} is not installed", name=package)
    return Path(spec.origin).parent / "static"


_OWN: Final = Path(__file__).parent / "static"
_FROM_PACKAGES: Final = {
    "django_htmx/htmx-2.min.js": _static_of("django_htmx"),
    **dict.fromkeys(
        (
            "leaflet/leaflet.js",
            "leaflet/leaflet.js.map",
            "leaflet/leaflet.css",
            "leaflet/images/layers.png",
            "leaflet/images/layers-2x.png",
            "leaflet/images/marker-icon.png",
        ),
        _static_of("leaflet"),
    ),
}


class ChosenFiles(BaseFinder):
    """Finds just these files, so that nothing else of a package is served."""

    def list(self, ignore_patterns: Any) -> Iterator[tuple[str, Storage]]:
        own = FileSystemStorage(location=_OWN)
        for path in sorted(_OWN.rglob("*")):
            if path.is_file():
                yield path.relative_to(_OWN).as_posix(), own
        for name, folder in _FROM_PACKAGES.items():
            yield name, FileSystemStorage(location=folder)

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        folder = _FROM_PACKAGES.get(path, _OWN)
        found = (folder / path).resolve()
        known = found.is_file() and found.is_relative_to(folder.resolve())
        if find_all:
            return [str(found)] if known else []
        return str(found) if known else None
