"""The phases of a remodel, in the order in which the work goes."""

from django.db import models


class Phase(models.TextChoices):
    """A stage of the work, by which assemblies, estimates and schedules are grouped."""

    PROTECT = "protect", "Protect and set up"
    TAKE_OUT = "take_out", "Demolition"
    ROUGH = "rough", "Rough carpentry"
    BOARD = "board", "Drywall and backer"
    FINISH = "finish", "Tape, tile and paint"
    FLOOR = "floor", "Floor"
    SET = "set", "Cabinets and fixtures"
    TRIM = "trim", "Trim"
    CLOSE = "close", "Clean-up and punch"


PHASE_ORDER: dict[str, int] = {phase: position for position, phase in enumerate(Phase.values)}

# Other words under which a phase can be searched for.
ALSO_CALLED: dict[str, tuple[str, ...]] = {
    Phase.TAKE_OUT: ("demolition", "demo", "tear out", "remove"),
    Phase.BOARD: ("hang",),
    Phase.FINISH: ("mud",),
    Phase.TRIM: ("trimwork", "millwork"),
    Phase.CLOSE: ("cleanup",),
}
