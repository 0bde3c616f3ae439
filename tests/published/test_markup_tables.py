"""Markup against margin, as builders print them for one another."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.markup import Markup
from estimating.pricing.price import PricedEstimate
from tests.published import Check, Source, every_check
from tests.published.calculations import line, priced

AGAINST = "tables for builders, a builders' guide of the 1890s"
BUILDER = Source(
    "A simple and easy to understand explanation of markup vs margin (a builder's page)",
    "as stored",
    "https://www.jtdodd.com.au/blog-post/a-simple-and-easy-to-understand-explanation-of-markup-vs-margin/",
)
FINANCE = Source(
    'Markup vs Margin: Why Contractors Lose Money on "Profitable" Jobs',
    "January 2026",
    "https://www.contractorcfo.org/articles/markup-vs-margin-explained",
)
MISTAKE = Source(
    "The Mistake of Markup (article for builders)",
    "as stored",
    "https://www.scribd.com/document/334587070/The-Mistake-of-Markup",
)
GUIDE = Source(
    "The Builders' Guide, Estimating Labor for Carpentry Work (public domain; by I. P. Hicks, from memory)",
    "1890s",
    "http://chestofbooks.com/architecture/Builders-Guide/Estimating-Labor-For-Carpentry-Work.html",
)
HUNDREDTH = "printed to hundredths of a percent"


def markup_for(margin: str) -> Fraction:
    return Markup(Decimal(margin), "margin").share * 100


def margin_of(markup: str) -> Fraction:
    return Markup(Decimal(markup)).margin * 100


def job(cost: str, percent: str, typed_as: str = "markup") -> PricedEstimate:
    return priced(line("job", cost), material=Markup(Decimal(percent), typed_as))


def price_of(cost: str, percent: str, typed_as: str = "markup") -> Decimal:
    return job(cost, percent, typed_as).total


def margin_kept(cost: str, percent: str, typed_as: str = "markup") -> Fraction:
    return job(cost, percent, typed_as).margin * 100


def crew(men: str, days: str, wage: str, markup: str = "0") -> PricedEstimate:
    """A job of labor alone, in days of work at a day's wage."""
    work = replace(line("job", "0"), extra_hours=Fraction(men) * Fraction(days))
    return priced(work, labor_rate=Decimal(wage), labor=Markup(Decimal(markup)))


def crew_cost(**given: str) -> Decimal:
    return crew(**given).cost


def crew_profit(**given: str) -> Decimal:
    return crew(**given).profit


def needed(margin: str, printed: str) -> Check:
    return Check(
        f"a margin of {margin} % needs a markup of {printed} %",
        BUILDER,
        "Markup vs. Margin Examples Table",
        markup_for,
        {"margin": margin},
        printed,
        within="0.005",
        why=HUNDREDTH,
    )


def kept(markup: str, printed: str) -> Check:
    return Check(
        f"a markup of {markup} % keeps a margin of {printed} %",
        FINANCE,
        "The Conversion Table Every Contractor Needs",
        margin_of,
        {"markup": markup},
        printed,
        within="0.05",
        why="printed to tenths of a percent",
    )


CHECKS = (
    *(
        needed(margin, printed)
        for margin, printed in (
            ("5", "5.26"),
            ("10", "11.11"),
            ("15", "17.65"),
            ("20", "25.00"),
            ("25", "33.33"),
            ("30", "42.86"),
            ("35", "53.85"),
            ("40", "66.67"),
            ("45", "81.82"),
            ("50", "100.00"),
        )
    ),
    *(
        kept(markup, printed)
        for markup, printed in (("10", "9.1"), ("15", "13.0"), ("30", "23.1"), ("40", "28.6"))
    ),
    Check(
        "a markup of 67 % printed as a margin of 40.0 %",
        FINANCE,
        "The Conversion Table Every Contractor Needs",
        margin_of,
        {"markup": "67"},
        "40.0",
        within="0.05",
        why="printed to tenths of a percent",
        ours="40.12",
        differs="67 % is itself the rounded markup for a margin of 40 %, which is 66.67 %; 67 % keeps "
        "40.12 %.",
    ),
    Check(
        "a markup of 33 % on 100.00 is a price of 133.00",
        BUILDER,
        "example",
        price_of,
        {"cost": "100.00", "percent": "33"},
        "133.00",
    ),
    Check(
        "a price of 133.00 for a cost of 100.00 keeps 25 %",
        BUILDER,
        "example",
        margin_kept,
        {"cost": "100.00", "percent": "33"},
        "25",
        within="0.5",
        why="printed to whole percents: 33 / 133 is 24.8 %",
    ),
    Check(
        "a cost of 80,000 with 20 % of markup is a price of 96,000",
        FINANCE,
        "The $100,000 Mistake",
        price_of,
        {"cost": "80000.00", "percent": "20"},
        "96000.00",
    ),
    Check(
        "a cost of 80,000 with 20 % of margin is a price of 100,000",
        FINANCE,
        "The $100,000 Mistake",
        price_of,
        {"cost": "80000.00", "percent": "20", "typed_as": "margin"},
        "100000.00",
    ),
    Check(
        "a cost of 1,000 with 67 % of markup is a price of 1,670",
        FINANCE,
        "The Conversion Table Every Contractor Needs",
        price_of,
        {"cost": "1000.00", "percent": "67"},
        "1670.00",
    ),
    Check(
        "a cost of 10,000 with 25 % of markup is a price of 12,500",
        MISTAKE,
        "sample job",
        price_of,
        {"cost": "10000.00", "percent": "25"},
        "12500.00",
    ),
    Check(
        "the same job keeps a margin of 20 %",
        MISTAKE,
        "sample job",
        margin_kept,
        {"cost": "10000.00", "percent": "25"},
        "20",
    ),
    Check(
        "five men for 60 days at 2.50 cost 750",
        GUIDE,
        "contractor A",
        crew_cost,
        {"men": "5", "days": "60", "wage": "2.50"},
        "750",
    ),
    Check(
        "sold for 900, a fifth above cost, they leave 150",
        GUIDE,
        "contractor A",
        crew_profit,
        {"men": "5", "days": "60", "wage": "2.50", "markup": "20"},
        "150",
    ),
    Check(
        "five men for 48 days at 2.50 cost 600",
        GUIDE,
        "contractor B",
        crew_cost,
        {"men": "5", "days": "48", "wage": "2.50"},
        "600",
    ),
    Check(
        "five men for 52 days sold for 800 leave 150",
        GUIDE,
        "contractor B, in 52 days",
        crew_profit,
        {"men": "5", "days": "52", "wage": "2.50", "markup": "23.0769"},
        "150",
        within="0.005",
        why="800 is 23.0769 % above the cost of 650, typed to four decimals",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
