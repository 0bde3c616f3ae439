"""What was checked, against what, how close, and the known differences: the README, worked out from a run.

`python -m tests.published.summary` prints it.
"""

from collections.abc import Iterator, Sequence
from importlib import import_module
from pathlib import Path
from types import ModuleType

from tests.published import Check

HERE = Path(__file__).parent
HEAD = (
    "| checked | against | figures | exact | within tolerance, furthest off | known differences |",
    "| --- | --- | ---: | ---: | --- | ---: |",
)


def modules() -> Iterator[ModuleType]:
    """The modules that hold a table of checks."""
    for path in sorted(HERE.glob("test_*.py")):
        module = import_module(f"tests.published.{path.stem}")
        if hasattr(module, "CHECKS"):
            yield module


def table() -> list[str]:
    rows, everything = [], []
    for module in modules():
        everything += module.CHECKS
        subject = (module.__doc__ or "").splitlines()[0].rstrip(".")
        rows.append(_row(subject, module.AGAINST, module.CHECKS))
    sources = {check.source for check in everything}
    return [*HEAD, *rows, _row("**all**", f"{len(sources)} published pages", everything)]


def in_one_sentence() -> str:
    """How many figures from how many pages, and how close, for the front page."""
    everything = [check for module in modules() for check in module.CHECKS]
    pages = len({check.source for check in everything})
    differing = sum(bool(check.differs) for check in everything)
    near = sum(bool(check.off and not check.differs) for check in everything)
    exact = len(everything) - differing - near
    return (
        f"{len(everything)} figures from {pages} published pages, run through our own code by the tests: "
        f"{exact} exact, {near} within the tolerance that the source's digits or range give, {differing} "
        "differences"
    )


def differences() -> list[str]:
    """One line for each known difference."""
    return [
        f"- {check.words}: published {check.expected}, ours {check.ours}. {check.differs}"
        for module in modules()
        for check in module.CHECKS
        if check.differs
    ]


def _row(subject: str, against: str, checks: Sequence[Check]) -> str:
    differing = [check for check in checks if check.differs]
    near = [check for check in checks if check.off and not check.differs]
    furthest = max((check.off_percent for check in near), default=None)
    off = "" if furthest is None else f"{len(near)}, {_percent(float(furthest))}"
    exact = len(checks) - len(differing) - len(near)
    return f"| {subject} | {against} | {len(checks)} | {exact} | {off} | {len(differing)} |"


def _percent(percent: float) -> str:
    return f"{percent:.1g} %" if percent < 1 else f"{percent:.0f} %"


if __name__ == "__main__":
    print("\n".join([in_one_sentence(), "", *table(), "", *differences()]))
