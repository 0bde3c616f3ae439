"""Conversions as national and international tables print them."""

from fractions import Fraction

from catalog.measures.units import convert
from tests.published import Check, Source, every_check

SP_811 = Source(
    "NIST Special Publication 811, Guide for the Use of the SI, Appendix B.8 (public domain)",
    "2008, read as quoted line by line in public program sources",
    "https://www.nist.gov/pml/special-publication-811/nist-guide-si-appendix-b-conversion-factors/"
    "nist-guide-si-appendix-b8",
)
HB_44 = Source(
    "NIST Handbook 44, Appendix C, General Tables of Units of Measurement (public domain)",
    "a reprint's pages 381-382",
    "https://yumpu.com/en/document/view/67962081/vdoc/461",
)
AGAINST = "NIST SP 811 and Handbook 44, 16 CFR 500.19, NAVEDTRA 14076, FAO"
CFR = Source(
    "16 CFR 500.19, Conversion of SI metric quantities to inch/pound quantities (public domain)",
    "as stored",
    "https://www.law.cornell.edu/cfr/text/16/500.19",
)
NAVY = Source(
    "NAVEDTRA 14076, Appendix 2, Conversions Accurate to Parts Per Million (U.S. Navy, public domain)",
    "as stored at tpub.com",
    "https://enginemechanics.tpub.com/14076/css/Appendix-2-Continued-187.htm",
)
FAO = Source(
    "Food and Agriculture Organization, Appendix A, Conversion Tables",
    "as stored",
    "http://www.fao.org/3/X5738E/x5738e0s.htm",
)


def factor(unit: str, to: str) -> Fraction:
    return convert(Fraction(1), unit, to)


def row(source: Source, place: str, unit: str, to: str, printed: str, exact: bool = False) -> Check:
    """Exact where the table says so, else within half a unit of the last digit printed."""
    half = f"0.{'0' * len(printed.partition('.')[2])}5"
    return Check(
        f"1 {unit} is {printed} {to} ({source.title.split(',')[0]})",
        source,
        place,
        factor,
        {"unit": unit, "to": to},
        printed,
        within="0" if exact else half,
        why="exact by definition" if exact else "half a unit of the last digit printed",
    )


B_8 = "Appendix B.8"
EQUIVALENTS = "Tables of Equivalents, Units of Capacity or Volume"
PPM = "Number x Factor"

CHECKS = (
    row(SP_811, B_8, "ft", "m", "0.3048", exact=True),
    row(SP_811, B_8, "sq in", "cm2", "6.4516", exact=True),
    row(SP_811, B_8, "sq ft", "m2", "0.09290304", exact=True),
    row(SP_811, B_8, "sq yd", "m2", "0.8361274"),
    row(SP_811, B_8, "cu ft", "m3", "0.02831685"),
    row(SP_811, B_8, "cu in", "mL", "16.38706"),
    row(SP_811, B_8, "gal", "L", "3.785412"),
    row(SP_811, B_8, "qt", "L", "0.9463529"),
    row(SP_811, B_8, "pt", "L", "0.4731765"),
    row(SP_811, B_8, "lb", "kg", "0.4535924"),
    row(SP_811, B_8, "oz", "g", "28.34952"),
    row(HB_44, EQUIVALENTS, "gal", "cu in", "231", exact=True),
    row(HB_44, EQUIVALENTS, "cu ft", "gal", "7.481"),
    row(HB_44, EQUIVALENTS, "cu in", "fl oz", "0.554"),
    row(HB_44, EQUIVALENTS, "cu in", "mL", "16.387"),
    row(HB_44, EQUIVALENTS, "m3", "cu yd", "1.308"),
    row(HB_44, EQUIVALENTS, "cu yd", "m3", "0.765"),
    row(CFR, "500.19", "yd", "m", "0.9144", exact=True),
    row(CFR, "500.19", "sq ft", "cm2", "929.0304", exact=True),
    row(CFR, "500.19", "lb", "g", "453.592"),
    row(NAVY, PPM, "cu yd", "m3", "0.764555"),
    row(NAVY, PPM, "m2", "sq ft", "10.7639"),
    row(NAVY, PPM, "m2", "sq yd", "1.19599"),
    row(NAVY, PPM, "m3", "cu ft", "35.3147"),
    row(NAVY, PPM, "m", "ft", "3.28084"),
    row(NAVY, PPM, "cm2", "sq in", "0.155000"),
    row(NAVY, PPM, "mL", "cu in", "0.0610237"),
    row(NAVY, PPM, "L", "qt", "1.05669"),
    row(NAVY, PPM, "m3", "gal", "264.172"),
    row(NAVY, PPM, "g", "oz", "0.0352740"),
    row(NAVY, PPM, "kg", "lb", "2.20462"),
    Check(
        "1 cu ft printed as 28.316 L",
        HB_44,
        EQUIVALENTS,
        factor,
        {"unit": "cu ft", "to": "L"},
        "28.316",
        within="0.0005",
        why="half a unit of the last digit printed",
        ours="28.3168",
        differs="Cut off instead of rounded: 0.3048 m cubed is 28.316847 L, as Special Publication 811 "
        "has it.",
    ),
    Check(
        "1 m3 printed as 33.31 cu ft",
        FAO,
        "A.1 Metric System Conversions, Volume",
        factor,
        {"unit": "m3", "to": "cu ft"},
        "33.31",
        within="0.005",
        why="half a unit of the last digit printed",
        ours="35.31",
        differs="A misprint: the Navy's table has 35.3147, and 1 / 0.3048 cubed is 35.3147.",
    ),
    Check(
        "1 sq ft printed as 0.092 m2",
        FAO,
        "A.1 Metric System Conversions, Area",
        factor,
        {"unit": "sq ft", "to": "m2"},
        "0.092",
        within="0.0005",
        why="half a unit of the last digit printed",
        ours="0.0929",
        differs="Cut off instead of rounded: 0.0929 rounds to 0.093.",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
