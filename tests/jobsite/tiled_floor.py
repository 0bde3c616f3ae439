"""A job that isn't signed: backer board that sets for 17 hours, then tile; Monday to Friday, 7 hours."""

from datetime import date
from decimal import Decimal
from typing import Any

from estimating.models import Job
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_operation,
    make_room,
    put_on,
)

MONDAY = date(2027, 1, 11)


def tiled_floor(**job: Any) -> Job:
    """120 sq ft: 4 hours of backer board, 8 hours of tile."""
    estimate = make_estimate(make_job(**job), make_firm(hours_per_day=7))
    assembly = make_assembly("tile floor", phase="floor")
    board = make_operation("Bed backer board", "1 hour per 30 sq ft")
    board.wait_hours = Decimal(17)
    board.save()
    add_component(assembly, board)
    add_component(assembly, make_operation("Set tile", "1 hour per 15 sq ft"))
    put_on(estimate, assembly, make_room(estimate.job), title="Tile the floor")
    return estimate.job
