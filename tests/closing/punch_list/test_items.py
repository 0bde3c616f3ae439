from dataclasses import replace
from datetime import date
from decimal import Decimal

from closing.punch_list.items import ListItem, State, Whose, fault_of_worth, held_for, why_not_over

DOOR = ListItem(1, "The door sticks", worth=Decimal("120.00"))
SHELF = ListItem(2, "A shelf over the sink", whose=Whose.WISH)
LAMP = ListItem(3, "The lamp of the old hall flickers", whose=Whose.NOT_OURS)


def test_a_wish_is_to_be_decided_until_it_is_on_a_change_or_declined_and_is_work_once_that_is_signed() -> (
    None
):
    assert SHELF.state == State.TO_DECIDE
    assert replace(SHELF, answer="No room for it").state == State.DECLINED
    assert replace(SHELF, has_change=True).state == State.CHANGE
    signed = replace(SHELF, has_change=True, is_signed=True)
    assert signed.state == State.OPEN
    assert replace(signed, done_on=date(2026, 3, 2)).state == State.DONE


def test_only_what_is_left_of_the_scope_holds_money_and_never_more_than_is_still_to_ask() -> None:
    done = replace(DOOR, key=4, done_on=date(2026, 3, 2))
    claimed = replace(LAMP, worth=Decimal("50.00")), replace(SHELF, worth=Decimal("50.00"))
    assert held_for([DOOR, done, *claimed], Decimal("1000.00")) == Decimal("120.00")
    assert held_for([DOOR], Decimal("70.00")) == Decimal("70.00")
    assert held_for([DOOR], Decimal("-5.00")) == Decimal("0.00")


def test_more_than_is_open_is_refused_with_what_would_be_right() -> None:
    assert fault_of_worth(Decimal("80.00"), [DOOR], Decimal("200.00")) == ""
    assert "At most $80.00" in fault_of_worth(Decimal("80.01"), [DOOR], Decimal("200.00"))
    assert "Nothing is left" in fault_of_worth(Decimal("0.01"), [DOOR], Decimal("120.00"))
    assert fault_of_worth(Decimal("0.00"), [DOOR], Decimal("0.00")) == ""


def test_the_end_waits_for_what_is_neither_done_nor_agreed_on_and_for_wishes_without_an_answer() -> None:
    unpriced = replace(DOOR, worth=None)
    assert [reason.split("”")[0] for reason in why_not_over([unpriced, SHELF, LAMP])] == [
        "“The door sticks",
        "“A shelf over the sink",
    ]
    assert why_not_over([DOOR, replace(SHELF, answer="No room for it"), LAMP]) == ()
    assert why_not_over([replace(unpriced, worth=Decimal(0))]) == ()
    assert why_not_over([]) == ()
