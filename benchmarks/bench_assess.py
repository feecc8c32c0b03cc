"""How long a person waits for `pathproof assess`: the duplex with 25 devices, a cold process.

The plan comes from the folder that PATHPROOF_FIELD_DATA names. Kernels are compiled once, into a
folder of the benchmark's own, before anything is timed.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

TARGET_S = 2.0
RUNS = 5
DEVICES = 25
COMMAND = "import sys; from pathproof.cli import main; main()"


def pathproof(*args: str, cache: Path) -> float:
    """Time of a command in a process of its own; it may end with 3 or 4, as assess does. [s]"""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", COMMAND, *args],
        check=False,
        capture_output=True,
        text=True,
        env={**os.environ, "NUMBA_CACHE_DIR": str(cache)},
    )
    if done.returncode not in (0, 3, 4):
        sys.exit(done.stderr)
    return time.perf_counter() - start


def fit_out(path: Path) -> None:
    """A panel on the lowest storey and devices on a grid over all of them."""
    job: dict[str, Any] = json.loads(path.read_text("utf-8"))
    site = job["site"]
    corners = [p for w in site["walls"] for p in (w["start"], w["end"])]
    (left, right), (front, back) = ((min(c), max(c)) for c in zip(*corners, strict=True))
    floors = [f["id"] for f in site["floors"]]

    def place(i: int) -> dict[str, Any]:
        across, along = (i % 5 + 0.5) / 5, (i // 5 + 0.5) / 5
        at = [left + across * (right - left), front + along * (back - front)]
        return {"floor": floors[i % len(floors)], "at": at, "height_m": 2.0}

    site["panel"] = {"part": "lark_wren_panel", **place(0), "floor": floors[0]}
    site["devices"] = [
        {"id": f"d{i}", "name": f"Device {i}", "part": "lark_motion", **place(i)}
        for i in range(DEVICES)
    ]
    path.write_text(json.dumps(job), "utf-8")


def main() -> None:
    """Print the shortest of some runs."""
    field_data = os.environ.get("PATHPROOF_FIELD_DATA")
    if not field_data:
        print("PATHPROOF_FIELD_DATA is not set, so there is no plan to assess.")
        return
    with tempfile.TemporaryDirectory() as folder:
        job, cache = Path(folder) / "job.json", Path(folder) / "kernels"
        plan = str(Path(field_data) / "plans" / "duplex.ifc")
        imported = pathproof("import", plan, "-o", str(job), cache=cache)
        fit_out(job)
        compiled = pathproof("assess", str(job), cache=cache)
        asked = min(pathproof("assess", str(job), cache=cache) for _ in range(RUNS))
    print(f"import of the duplex                {imported:6.2f} s")
    print(f"assess {DEVICES} devices, kernels compiled {compiled:6.2f} s")
    print(f"assess {DEVICES} devices, kernels kept     {asked:6.2f} s, target {TARGET_S} s")


if __name__ == "__main__":
    main()
