"""The contingency that keeps a margin: the least one that does."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from estimating.pricing.price import Policy, PricedEstimate, price
from estimating.ranges.margin import contingency_that_keeps, cost_at, outcome, subtotal_with
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Work
from tests.specs import policy


def priced(hours: Decimal, material: Decimal, rules: Policy) -> PricedEstimate:
    work = Work("1", "Shelf", "set", extra_hours=Fraction(hours), material_cost=material)
    return price(take_off({}, [work]), rules)


def test_more_hours_than_priced_come_off_what_is_left() -> None:
    job = priced(Decimal(10), Decimal("100.00"), policy())  # $800 of labor, $120 of material
    ends = outcome(job, Decimal("12.50"), Decimal("70.00"))
    assert (ends.cost, ends.left) == (Decimal("975.00"), Decimal("-55.00"))
    assert ends.margin == Fraction(-55, 920)


def test_a_margin_that_is_kept_anyway_needs_no_contingency() -> None:
    job = priced(Decimal(10), Decimal("100.00"), policy(contingency=Fraction(1, 10)))
    assert contingency_that_keeps(job, Decimal(0), job.cost, Fraction(5, 100)) == 0


def test_a_margin_out_of_reach_has_none() -> None:
    job = priced(Decimal(10), Decimal("100.00"), policy())
    assert contingency_that_keeps(job, Decimal(0), job.cost, Fraction(70, 100)) is None


def test_the_least_charge_may_keep_it_already() -> None:
    least = Decimal("2000.00")
    job = priced(Decimal(10), Decimal("100.00"), policy(minimum_charge=least))
    assert contingency_that_keeps(job, least, job.cost, Fraction(50, 100)) == 0


def test_a_contingency_of_the_cost_keeps_nothing_where_nothing_costs() -> None:
    rules = policy(contingency_of="cost", labor_rate=Decimal(0))
    job = priced(Decimal(10), Decimal(0), rules)
    assert contingency_that_keeps(job, Decimal(0), Decimal(100), Fraction(0)) is None


CENTS = st.integers(1, 500_000).map(lambda cents: Decimal(cents).scaleb(-2))


@given(
    CENTS,
    CENTS,
    st.integers(0, 60),
    st.integers(0, 300).map(lambda tenths: Decimal(tenths) / 10),
    st.sampled_from([Decimal(0), Decimal(5), Decimal(20)]),
    st.sampled_from(["price", "cost"]),
    st.booleans(),
)
def test_the_contingency_keeps_the_margin_and_a_hundredth_less_does_not(
    hours: Decimal, material: Decimal, keep: int, more: Decimal, now: Decimal, of: str, shown: bool
) -> None:
    share, either = Fraction(keep, 100), {"contingency_of": of, "show_contingency": shown}
    rules = policy(contingency=Fraction(now) / 100, **either)
    job = priced(hours, material, rules)
    cost = cost_at(job, job.hours + more, rules.labor_rate)
    percent = contingency_that_keeps(job, Decimal(0), cost, share)
    assume(percent is not None)
    assert percent is not None

    def kept(percent: Decimal) -> bool:
        again = priced(hours, material, policy(contingency=Fraction(percent) / 100, **either))
        assert again.subtotal == subtotal_with(job, Decimal(0), percent)
        return Fraction(again.subtotal - cost) >= share * Fraction(again.subtotal)

    assert kept(percent)
    assert not percent or not kept(percent - Decimal("0.01"))
