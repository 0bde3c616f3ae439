import random
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.packaging import Offer, Purchase, UnusableOffers, cover


def offers_of(*rows: tuple[str, int | str, str]) -> list[Offer]:
    return [Offer(key, Fraction(size), Decimal(price)) for key, size, price in rows]


def counts_of(purchase: Purchase) -> dict[str, int]:
    return {offer.key: count for offer, count in purchase.counts}


PAINT = offers_of(("quart", 32, "21.98"), ("gallon", 128, "46.98"), ("pail5", 640, "198.00"))
THINSET = offers_of(("bag25", 25, "19.47"), ("bag50", 50, "31.98"))
SCREWS = offers_of(("box100", 100, "10.98"), ("box150", 150, "13.97"), ("box750", 750, "49.97"))
TAPE = offers_of(("roll50ft", 50, "6.48"), ("roll150ft", 150, "14.98"))


@pytest.mark.parametrize(
    ("demand", "stock", "offers", "counts", "cost", "left_over"),
    [
        pytest.param(436, 0, PAINT, {"gallon": 3, "quart": 2}, "184.90", 12, id="worked case: paint 3.4 gal"),
        pytest.param(80, 0, THINSET, {"bag50": 2}, "63.96", 20, id="worked case: thinset 80 lb"),
        pytest.param(430, 0, SCREWS, {"box150": 3}, "41.91", 20, id="worked case: screws 430"),
        pytest.param(95, 20, TAPE, {"roll50ft": 2}, "12.96", 25, id="worked case: tape 95 ft, 20 in stock"),
    ],
)
def test_worked_cases(
    demand: int, stock: int, offers: list[Offer], counts: dict[str, int], cost: str, left_over: int
) -> None:
    purchase = cover(Fraction(demand), offers, Fraction(stock))
    assert counts_of(purchase) == counts
    assert purchase.cost == Decimal(cost)
    assert purchase.left_over == left_over
    assert purchase.package_count == sum(counts.values())


def test_a_pail_is_cheaper_than_four_gallons_and_a_quart() -> None:
    assert counts_of(cover(Fraction("4.1") * 128, PAINT)) == {"pail5": 1}


def test_two_small_bags_are_bought_where_they_are_cheaper_than_one_large() -> None:
    offers = offers_of(("small", 25, "9.00"), ("large", 50, "19.00"))
    assert counts_of(cover(Fraction(50), offers)) == {"small": 2}


def test_at_equal_cost_less_is_left_over() -> None:
    offers = offers_of(("five", 5, "10.00"), ("three", 3, "10.00"))
    assert counts_of(cover(Fraction(3), offers)) == {"three": 1}


def test_at_equal_cost_and_left_over_fewer_packages_are_bought() -> None:
    offers = offers_of(("one", 1, "2.00"), ("four", 4, "8.00"))
    assert counts_of(cover(Fraction(8), offers)) == {"four": 2}


def test_at_equal_count_more_of_the_larger_size_is_bought() -> None:
    # Six and two, or four and four: eight units, two packages, the same money.
    offers = offers_of(("two", 2, "2.00"), ("four", 4, "4.00"), ("six", 6, "6.00"))
    assert counts_of(cover(Fraction(8), offers)) == {"six": 1, "two": 1}


def test_of_two_offers_of_a_size_the_cheaper_is_bought_and_of_equals_the_first() -> None:
    offers = offers_of(("dear", 50, "12.00"), ("first", 50, "11.00"), ("second", 50, "11.00"))
    assert counts_of(cover(Fraction(60), offers)) == {"first": 2}


def test_what_is_left_over_is_measured_from_what_is_really_required() -> None:
    purchase = cover(Fraction("80.5"), THINSET)
    assert purchase.left_over == Fraction("19.5")


def test_a_size_with_a_fraction_is_exact() -> None:
    # 159.3 sq ft of tile in boxes of 15.5 sq ft: 10.28, so 11.
    purchase = cover(Fraction("159.3"), offers_of(("box", "15.5", "86.46")))
    assert (purchase.package_count, purchase.bought, purchase.cost) == (
        11,
        Fraction("170.5"),
        Decimal("951.06"),
    )


def test_exactly_full_packages_leave_nothing() -> None:
    assert cover(Fraction(100), THINSET).left_over == 0


@pytest.mark.parametrize(("required", "stock"), [(0, 0), (40, 40), (40, 100)])
def test_nothing_is_bought_for_what_is_not_short(required: int, stock: int) -> None:
    purchase = cover(Fraction(required), THINSET, Fraction(stock))
    assert (purchase.counts, purchase.cost, purchase.bought, purchase.left_over) == (
        (),
        Decimal("0.00"),
        0,
        0,
    )


def test_a_package_that_costs_nothing_is_taken_first() -> None:
    offers = offers_of(("remnant", 10, "0.00"), ("roll", 50, "6.48"))
    assert counts_of(cover(Fraction(25), offers)) == {"remnant": 3}


def test_a_demand_beyond_all_measure_is_still_exact() -> None:
    # 1,562,500,000 pails hold 10**12; the one unit more takes a quart.
    purchase = cover(Fraction(10**12) + 1, PAINT)
    assert counts_of(purchase) == {"pail5": 1_562_500_000, "quart": 1}
    assert purchase.left_over == 31


def test_packages_too_alike_and_too_odd_are_refused_instead_of_hanging() -> None:
    offers = offers_of(("a", "1", "0.1"), ("b", "9.999", "1"), ("c", "10.007", "1.0007"))
    with pytest.raises(UnusableOffers, match="leave one out"):
        cover(Fraction(99_999), offers)


def test_without_a_package_nothing_can_be_bought() -> None:
    with pytest.raises(UnusableOffers, match="no package"):
        cover(Fraction(1), [])


@pytest.mark.parametrize(
    ("size", "price", "message"), [(0, "1", "size above zero"), (-1, "1", "size"), (1, "-1", "price")]
)
def test_a_package_that_makes_no_sense_is_refused(size: int, price: str, message: str) -> None:
    with pytest.raises(UnusableOffers, match=message):
        Offer("bad", Fraction(size), Decimal(price))


@pytest.mark.parametrize(("required", "stock"), [(-1, 0), (1, -1)])
def test_a_quantity_below_zero_is_refused(required: int, stock: int) -> None:
    with pytest.raises(UnusableOffers, match="below zero"):
        cover(Fraction(required), THINSET, Fraction(stock))


SMALL_OFFERS = st.lists(
    st.tuples(
        st.integers(1, 12).map(lambda halves: Fraction(halves, 2)),
        st.one_of(st.integers(0, 6), st.integers(0, 3000)).map(lambda cents: Decimal(cents) / 100),
    ),
    min_size=1,
    max_size=3,
    unique_by=lambda row: row[0],
).map(lambda rows: [Offer(str(place), size, price) for place, (size, price) in enumerate(rows)])
DEMANDS = st.fractions(min_value=0, max_value=15, max_denominator=8)


Preference = tuple[Decimal, Fraction, int, tuple[int, ...]]


def preference(demand: Fraction, offers: list[Offer], counts: tuple[int, ...]) -> Preference | None:
    """What a cover is judged by, least first; None where it doesn't cover."""
    pairs = list(zip(offers, counts, strict=True))
    bought = sum((offer.size * count for offer, count in pairs), Fraction(0))
    if bought < demand:
        return None
    cost = sum((offer.price * count for offer, count in pairs), Decimal(0))
    larger_first = sorted(pairs, key=lambda pair: -pair[0].size)
    return cost, bought - demand, sum(counts), tuple(-count for _, count in larger_first)


@given(DEMANDS, SMALL_OFFERS)
def test_no_other_combination_is_better(demand: Fraction, offers: list[Offer]) -> None:
    purchase = cover(demand, offers)
    tried = product(*(range(ceil(demand / offer.size) + 1) for offer in offers))
    best = min(rank for counts in tried if (rank := preference(demand, offers, counts)) is not None)
    chosen = counts_of(purchase)
    assert preference(demand, offers, tuple(chosen.get(offer.key, 0) for offer in offers)) == best


@given(st.fractions(min_value=0, max_value=5000, max_denominator=100), SMALL_OFFERS)
def test_never_less_is_bought_than_is_required_and_no_package_is_needless(
    demand: Fraction, offers: list[Offer]
) -> None:
    purchase = cover(demand, offers)
    assert purchase.bought == demand + purchase.left_over
    assert purchase.left_over >= 0
    assert all(purchase.left_over < offer.size for offer, _ in purchase.counts)
    assert purchase.cost == sum(offer.price * count for offer, count in purchase.counts)


@given(DEMANDS, DEMANDS, SMALL_OFFERS)
def test_cost_never_falls_when_more_is_required(less: Fraction, more: Fraction, offers: list[Offer]) -> None:
    assert cover(less, offers).cost <= cover(less + more, offers).cost


@given(DEMANDS, DEMANDS, SMALL_OFFERS)
def test_stock_never_raises_the_cost(demand: Fraction, stock: Fraction, offers: list[Offer]) -> None:
    assert cover(demand, offers, stock).cost <= cover(demand, offers).cost


@given(DEMANDS, DEMANDS, SMALL_OFFERS)
def test_pooling_never_costs_more_than_buying_apart(
    first: Fraction, second: Fraction, offers: list[Offer]
) -> None:
    assert cover(first + second, offers).cost <= cover(first, offers).cost + cover(second, offers).cost


def random_case(seed: int) -> tuple[int, list[Offer]]:
    chance = random.Random(seed)
    sizes = chance.sample(range(1, 60), chance.randint(2, 5))
    offers = [
        Offer(str(size), Fraction(size), Decimal(size * chance.randint(80, 140)) / 100) for size in sizes
    ]
    return chance.randint(1, 900), offers


@pytest.mark.parametrize("seed", range(40))
def test_a_constraint_solver_finds_nothing_better(seed: int) -> None:
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    demand, offers = random_case(seed)
    purchase = cover(Fraction(demand), offers)
    model = cp_model.CpModel()
    counts = [model.new_int_var(0, ceil(demand / offer.size), offer.key) for offer in offers]
    bought = sum(int(offer.size) * count for offer, count in zip(offers, counts, strict=True))
    cents = sum(int(offer.price * 100) * count for offer, count in zip(offers, counts, strict=True))
    model.add(bought >= demand)
    solver = cp_model.CpSolver()
    for goal, ours in (
        (cents, int(purchase.cost * 100)),
        (bought, int(purchase.bought)),
        (sum(counts), purchase.package_count),
    ):
        model.minimize(goal)
        assert solver.solve(model) == cp_model.OPTIMAL
        assert round(solver.objective_value) == ours
        model.add(goal == ours)


def test_of_covers_that_cost_and_hold_the_same_the_one_of_fewest_packages_is_bought() -> None:
    # 4 + 4, 6 + 1 + 1 and 4 + 1 + 1 + 1 + 1 all hold 8 for $8.00.
    offers = offers_of(("six", 6, "6.00"), ("four", 4, "4.00"), ("one", 1, "1.00"))
    assert counts_of(cover(Fraction(8), offers)) == {"four": 2}
