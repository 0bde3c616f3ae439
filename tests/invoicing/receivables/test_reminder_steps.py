"""Which reminder is next, and when."""

from datetime import date

from invoicing.receivables.reminder_steps import ReminderStep, next_reminder_step, reminder_steps

DUE = date(2026, 4, 1)


def test_the_steps_count_from_the_due_date() -> None:
    steps = reminder_steps(DUE, date(2026, 4, 12), [ReminderStep("Demand", 30), ReminderStep("Reminder", 7)])
    assert [(step.name, step.on, step.has_come) for step in steps] == [
        ("Reminder", date(2026, 4, 8), True),
        ("Demand", date(2026, 5, 1), False),
    ]


def test_the_next_step_follows_the_last_one_taken_so_that_no_demand_comes_first() -> None:
    today = date(2026, 6, 1)
    steps = reminder_steps(DUE, today)
    assert next_reminder_step(steps, {}, today) == steps[0]
    assert next_reminder_step(steps, {"Reminder": date(2026, 4, 5)}, today).name == "Second reminder"
    assert next_reminder_step(steps, {"Formal demand": date(2026, 5, 2)}, today) is None
    assert not next_reminder_step(reminder_steps(DUE, DUE), {}, DUE).has_come


def test_a_step_taken_late_puts_the_next_one_off_by_as_long_as_the_spacing_says() -> None:
    """Reminder 3 days after the due date, the second 10: seven days lie between them."""
    steps = reminder_steps(DUE, date(2026, 5, 25))
    following = next_reminder_step(steps, {"Reminder": date(2026, 5, 20)}, date(2026, 5, 25))
    assert (following.on, following.has_come) == (date(2026, 5, 27), False)
    on_time = next_reminder_step(steps, {"Reminder": date(2026, 4, 4)}, date(2026, 5, 25))
    assert (on_time.on, on_time.has_come) == (date(2026, 4, 11), True)


def test_a_step_has_come_on_its_day() -> None:
    assert reminder_steps(DUE, date(2026, 4, 4))[0].has_come
    assert not reminder_steps(DUE, date(2026, 4, 3))[0].has_come
    steps = reminder_steps(DUE, date(2026, 4, 11))
    following = next_reminder_step(steps, {"Reminder": date(2026, 4, 4)}, date(2026, 4, 11))
    assert (following.name, following.has_come) == ("Second reminder", True)
    assert [step.on for step in steps] == [date(2026, 4, 4), date(2026, 4, 11), date(2026, 5, 1)]
