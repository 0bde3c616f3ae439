"""The five steps of a new firm to its first estimate."""

from estimating.progress.first_steps import STEPS, FirmFacts, first_steps


def test_a_step_is_done_by_what_is_known_or_ticked_by_hand() -> None:
    new = FirmFacts(False, has_rate=True, has_tax=False, has_own_prices=False, has_logo=False)
    steps = first_steps(new, {"prices"})
    assert tuple(step.code for step in steps) == STEPS
    assert [step.code for step in steps if step.is_done] == ["rate", "prices"]
