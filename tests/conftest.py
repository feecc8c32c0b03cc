"""What all tests share: the field data, and no excuse for skipping what must be there."""

import os
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import settings

# Looking for examples in it would read the settings a second time, with a folder of their own.
collect_ignore = ["web_settings.py"]

FIELD_TESTS = Path(__file__).parent / "field"
FIELD_REQUIRED = os.environ.get("PATHPROOF_FIELD_REQUIRED") == "1"
BROWSER_TESTS = Path(__file__).parent / "browser"
BROWSER_REQUIRED = os.environ.get("PATHPROOF_BROWSER_REQUIRED") == "1"

# The first call of a compiled kernel takes far longer than the others. The same examples each time,
# so that a red run is the change's doing; HYPOTHESIS_PROFILE=explore looks for new ones.
settings.register_profile("pathproof", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "pathproof"))


@pytest.fixture(scope="session")
def field_data() -> Path:
    """Folder of the field data: plans and measurements that are not ours to ship."""
    folder = os.environ.get("PATHPROOF_FIELD_DATA")
    if not folder:
        pytest.skip("PATHPROOF_FIELD_DATA is not set: no field data here")
    return Path(folder)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if not hasattr(report, "wasxfail"):
        refuse_skip(report, item.path)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    refuse_skip(report, collector.path)
    return report


def refuse_skip(report: pytest.TestReport | pytest.CollectReport, path: Path) -> None:
    """Turn a skip of a field or browser test into a failure where those are required."""
    for folder, required in ((FIELD_TESTS, FIELD_REQUIRED), (BROWSER_TESTS, BROWSER_REQUIRED)):
        if required and report.skipped and path.is_relative_to(folder):
            report.outcome = "failed"
            report.longrepr = f"a {folder.name} test was skipped: {report.longrepr}"
