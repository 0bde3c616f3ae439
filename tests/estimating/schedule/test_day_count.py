"""Supply runs: the fewest that buy each need in time and keep nothing longer than it may lie."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from estimating.schedule.day_count import fewest_runs

NEEDS = st.lists(st.tuples(st.integers(0, 7), st.integers(1, 5)), max_size=6)


def serve(runs: list[int] | tuple[int, ...], needs: list[tuple[int, int]]) -> bool:
    return all(any(day - within < run <= day for run in runs) for day, within in needs)


@given(NEEDS)
def test_runs_serve_every_need_and_no_fewer_could(needs: list[tuple[int, int]]) -> None:
    runs = fewest_runs(needs)
    assert serve(runs, needs)
    fewest = next(
        count for count in range(9) if any(serve(days, needs) for days in combinations(range(8), count))
    )
    assert len(runs) == fewest


@given(NEEDS, st.integers(0, 5))
def test_what_keeps_shorter_never_saves_a_run(needs: list[tuple[int, int]], shorter: int) -> None:
    spoiling = [(day, max(1, within - shorter)) for day, within in needs]
    assert len(fewest_runs(spoiling)) >= len(fewest_runs(needs))
