"""A list of ticks that two pages change."""

import json

from saving.forms import OPENED, Ticks


def test_what_another_page_ticked_or_took_out_stays_beside_what_this_one_changed() -> None:
    now = Ticks({"trim": True, "floor": False, "walls": False, "door": True})
    opened = {"trim": [], "floor": ["on"], "walls": [], "door": ["on"]}
    posted = {OPENED: json.dumps(opened), "floor": "on", "walls": "on"}
    assert now.merged(posted) == {"trim", "walls"}


def test_a_page_that_says_nothing_of_how_it_began_is_taken_as_it_is() -> None:
    assert Ticks({"trim": True, "floor": False}).merged({"floor": "on", "other": "x"}) == {"floor"}
