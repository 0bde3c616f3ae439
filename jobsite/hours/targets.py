"""What time can be put on in a job: its signed lines, its changes, its phases, the job itself."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from estimating.contract.work_lines import ContractWorkLine

BY_THE_HOUR = "at_most"


@dataclass(frozen=True)
class SignedChange:
    """A signed change order: its primary key, its name, whether a part of it is billed by the hour."""

    document: int
    name: str
    by_the_hour: bool


@dataclass(frozen=True)
class Target:
    """One thing that time can be put on; the fields are those of the rows that keep it."""

    label: str
    document: int | None = None
    key: str = ""
    phase: str = ""
    for_job: str = ""
    is_finished: bool = False

    @property
    def token(self) -> str:
        """The target in one word, as a form sends it."""
        if self.key:
            return f"line-{self.document}-{self.key}"
        if self.document:
            return f"change-{self.document}"
        return f"phase-{self.phase}" if self.phase else f"job-{self.for_job}"


@dataclass(frozen=True)
class TargetGroup:
    """Targets under a heading."""

    label: str
    targets: tuple[Target, ...]
    is_job: bool = False


def target_groups(
    lines: Sequence[ContractWorkLine],
    changes: Iterable[SignedChange],
    phases: Sequence[tuple[str, str]],
    for_job: Sequence[tuple[str, str]],
) -> tuple[TargetGroup, ...]:
    """Return all that time can be put on, in the order of the work; what is finished comes last.

    The part of a change that is billed by the hour is one target, the change, as its bill takes its hours.
    """
    open_first = sorted(lines, key=lambda line: line.is_finished)
    groups = []
    for phase, label in (*phases, ("", "Other signed work")):
        targets = [
            Target(
                line.line.title + (" (finished)" if line.is_finished else ""),
                *line.line.place,
                is_finished=line.is_finished,
            )
            for line in open_first
            if line.phase == phase and line.line.kind not in (BY_THE_HOUR, "allowance")
        ]
        groups.append(TargetGroup(label, tuple(targets)))
    by_change = [
        Target(change.name + (", by the hour" if change.by_the_hour else ""), change.document)
        for change in changes
    ]
    groups.append(TargetGroup("Changes", tuple(by_change)))
    on_job = tuple(Target(label, for_job=code) for code, label in for_job)
    whole = tuple(Target(label, phase=code) for code, label in phases)
    groups += [TargetGroup("The job itself", on_job, True), TargetGroup("A whole phase", whole, True)]
    return tuple(group for group in groups if group.targets)


def open_groups(groups: Iterable[TargetGroup]) -> tuple[TargetGroup, ...]:
    """Return the groups without what is finished: what the clock is started on."""
    left = (
        replace(group, targets=tuple(target for target in group.targets if not target.is_finished))
        for group in groups
    )
    return tuple(group for group in left if group.targets)
