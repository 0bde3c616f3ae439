"""When each piece of work is done: steps, a calendar and one worker in, a plan of days out.

How to call it::

    week = week_of(time(8), (8, 8, 8, 8, 8, 0, 0))
    calendar = WorkCalendar(week, holidays=federal_holidays(2026, 2027))
    plan = plan_steps(steps, calendar, datetime(2026, 12, 1, 8))          # list rule, then changed runs of it
    plan = plan_steps(steps, calendar, datetime(2026, 12, 1, 8), "best")  # then the constraint solver
    plan.placed["coat-1"].start, plan.finish, plan.days()[date(2026, 12, 1)], plan.unkept

All times are the firm's own wall clock, without a time zone; work is counted in quarter hours. The calendar
knows the zone, so that a wait over a change of the clocks is as long as it is. `calendar` says what hours
there are, `steps` what is to be done, `plan` what came out, `planner` joins them.
"""
