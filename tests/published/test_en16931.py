"""Totals and tax of the official example invoices of EN 16931, through our price."""

from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from estimating.takeoff.work import Work
from tests.published import Check, Source, every_check
from tests.published.calculations import line, priced

AGAINST = "the official example invoices and rules of EN 16931"
BASE = "https://github.com/ConnectingEurope/eInvoicing-EN16931/blob/master/"


def example(number: str, path: str, commit: str) -> Source:
    return Source(
        f"EN 16931 validation artefacts, {number} (European Union Public License)",
        f"commit {commit}",
        BASE + path,
    )


FIRST = example("UBL example 1", "ubl/examples/ubl-tc434-example1.xml", "0995d59")
SECOND = example("UBL example 2", "ubl/examples/ubl-tc434-example2.xml", "0995d59")
THIRD = example("UBL example 3", "ubl/examples/ubl-tc434-example3.xml", "1e4facf")
FOURTH = example("UBL example 4", "ubl/examples/ubl-tc434-example4.xml", "1e4facf")
NINTH = example("UBL example 9", "ubl/examples/ubl-tc434-example9.xml", "0995d59")
DISCOUNT = example("UBL sample with a discounted price", "ubl/examples/sample-discount-price.xml", "7ce3772")
NEGATED = example("CII example of sums that cancel", "cii/examples/CII-BR-CO-10-RoundingIssue.xml", "08a73cf")
RULES = Source(
    "EN 16931 validation artefacts, business rules (European Union Public License)",
    "as stored",
    BASE + "ubl/schematron/abstract/EN16931-model.sch",
)

# Net amounts of the lines, document charges and allowances among them, by rate of tax.
AT_6 = "19.90 9.85 8.29 14.46 35.00 35.00 10.65 1.55 14.37 8.29 16.58 9.95 3.30 3.90 102.12 -109.98"
AT_21 = "10.80 7.60 9.34 18.63"
SECOND_AT_25 = "1273.00 187.50 -100.00 100.00"
SECOND_AT_15 = "-3.96 4.96"
SECOND_EXEMPT = "-25.00"


def net(lines: str) -> Decimal:
    return priced(*_works(lines)).subtotal


def tax(lines: str, percent: str) -> Decimal:
    rate = Fraction(percent) / 100
    return priced(*_works(lines), tax_policy="everything", tax_rate=rate).tax


def gross(**groups: str) -> Decimal:
    """With tax, over groups of lines; the name of a group ends in its rate."""
    total = Decimal(0)
    for name, lines in groups.items():
        rate = Fraction(name.rpartition("_")[2]) / 100
        total += priced(*_works(lines), tax_policy="everything", tax_rate=rate).total
    return total


def net_from_prices(quantities: str, unit_price: str) -> Decimal:
    """Net amount of lines of a quantity each at a price to more than two decimals."""
    amounts = [Fraction(quantity) * Fraction(unit_price) for quantity in quantities.split()]
    return net(" ".join(str(round_cents(amount)) for amount in amounts))


def _works(lines: str) -> list[Work]:
    return [line(str(place), amount) for place, amount in enumerate(lines.split())]


CO_10, CO_14, CO_15, CO_17 = "BR-CO-10", "BR-CO-14", "BR-CO-15", "BR-CO-17"

CHECKS = (
    Check(
        "example 1: sixteen lines at 6 % sum to 183.23",
        FIRST,
        f"{CO_10}, TaxSubtotal 6 %",
        net,
        {"lines": AT_6},
        "183.23",
    ),
    Check(
        "example 1: four lines at 21 % sum to 46.37",
        FIRST,
        f"{CO_10}, TaxSubtotal 21 %",
        net,
        {"lines": AT_21},
        "46.37",
    ),
    Check(
        "example 1: all twenty lines sum to 229.60", FIRST, CO_10, net, {"lines": f"{AT_6} {AT_21}"}, "229.60"
    ),
    Check("example 1: tax of 6 % is 10.99", FIRST, CO_17, tax, {"lines": AT_6, "percent": "6"}, "10.99"),
    Check("example 1: tax of 21 % is 9.74", FIRST, CO_17, tax, {"lines": AT_21, "percent": "21"}, "9.74"),
    Check(
        "example 1: with tax 250.33",
        FIRST,
        f"{CO_14}, {CO_15}",
        gross,
        {"at_6": AT_6, "at_21": AT_21},
        "250.33",
    ),
    Check(
        "example 2: tax of 25 % on 1,460.50 is 365.13, half up",
        SECOND,
        f"{CO_17}; half to even would give 365.12",
        tax,
        {"lines": SECOND_AT_25, "percent": "25"},
        "365.13",
    ),
    Check(
        "example 2: tax of 15 % with a returned book is 0.15",
        SECOND,
        CO_17,
        tax,
        {"lines": SECOND_AT_15, "percent": "15"},
        "0.15",
    ),
    Check(
        "example 2: lines, allowance and charge sum to 1,436.50",
        SECOND,
        "BR-CO-13",
        net,
        {"lines": f"{SECOND_AT_25} {SECOND_AT_15} {SECOND_EXEMPT}"},
        "1436.50",
    ),
    Check(
        "example 2: with tax 1,801.78",
        SECOND,
        f"{CO_14}, {CO_15}",
        gross,
        {"at_25": SECOND_AT_25, "at_15": SECOND_AT_15, "exempt_0": SECOND_EXEMPT},
        "1801.78",
    ),
    Check(
        "example 2: 250 m at 0.75 is 187.50",
        SECOND,
        "line 5",
        net_from_prices,
        {"quantities": "250", "unit_price": "0.75"},
        "187.50",
    ),
    Check(
        "example 3: freight of 100 is taxed at 25 % with its line: 225",
        THIRD,
        "BR-S-08, BR-CO-17",
        tax,
        {"lines": "800.00 100.00", "percent": "25"},
        "225.00",
    ),
    Check(
        "example 3: with tax 2,005.00",
        THIRD,
        f"{CO_14}, {CO_15}",
        gross,
        {"at_25": "800.00 100.00", "at_10": "800.00"},
        "2005.00",
    ),
    Check(
        "example 4: with tax 4,675.00",
        FOURTH,
        f"{CO_14}, {CO_15}",
        gross,
        {"at_25": "1000.00 500.00", "at_12": "2500.00"},
        "4675.00",
    ),
    Check(
        "example 9: tax of 21 % on 147 is 30.87",
        NINTH,
        CO_17,
        tax,
        {"lines": "147.00", "percent": "21"},
        "30.87",
    ),
    Check(
        "discounted price: 100 at 0.1212 is 12.12",
        DISCOUNT,
        "line 1",
        net_from_prices,
        {"quantities": "100", "unit_price": "0.1212"},
        "12.12",
    ),
    Check("discounted price: with tax of 25 % 15.15", DISCOUNT, CO_15, gross, {"at_25": "12.12"}, "15.15"),
    Check(
        "sums that cancel: four lines of tickets and their refunds are 0.00",
        NEGATED,
        CO_10,
        gross,
        {"at_19": "720.81 -720.81", "zero_0": "0.01 -0.01"},
        "0.00",
    ),
    Check(
        "three lines of 33.335 are 100.02: each is rounded, then summed",
        RULES,
        CO_10,
        net_from_prices,
        {"quantities": "1 1 1", "unit_price": "33.335"},
        "100.02",
        basis="case",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
