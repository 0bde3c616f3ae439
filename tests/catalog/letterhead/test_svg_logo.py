"""A logo in SVG keeps its shapes and nothing else."""

import pytest

from catalog.letterhead.svg_logo import UnfitLogo, safe_svg
from tests.catalog.letterhead.svg import DISC, OPEN


def test_shapes_colors_and_gradients_are_kept() -> None:
    drawn = safe_svg(
        f'{OPEN}<defs><linearGradient id="a"><stop offset="0" stop-color="red"/></linearGradient></defs>'
        '<g transform="translate(1 2)"><path d="M0 0L4,4z" style="fill:url(#a);stroke:#000"/>'
        f"{DISC}</g></svg>",
        "Logo of Tolliver",
    )
    assert "<title>Logo of Tolliver</title>" in drawn
    assert 'd="M0 0L4,4z" fill="url(#logo-a)" stroke="#000"' in drawn
    assert '<linearGradient id="logo-a">' in drawn
    assert 'transform="translate(1 2)"' in drawn


@pytest.mark.parametrize(
    "part",
    [
        "<script>alert(1)</script>",
        '<image href="http://example.com/a.png"/>',
        "<foreignObject><p>x</p></foreignObject>",
        '<use href="#a"/>',
        "<style>* { background: url(http://example.com) }</style>",
        "<text>TR</text>",
        '<animate attributeName="href" to="javascript:alert(1)"/>',
        '<a href="javascript:alert(1)"><path d="M0 0"/></a>',
    ],
)
def test_what_runs_loads_or_needs_a_typeface_is_refused(part: str) -> None:
    with pytest.raises(UnfitLogo):
        safe_svg(f"{OPEN}{DISC}{part}</svg>", "Logo")


def test_values_that_are_no_shape_and_no_color_are_left_out() -> None:
    drawn = safe_svg(
        f'{OPEN}<rect width="4" height="4" onload="alert(1)" class="x" fill="url(http://example.com)"'
        ' style="background:url(//example.com);stroke:expression(1)" filter="url(#f)"/></svg>',
        "Logo",
    )
    assert drawn.endswith('<rect width="4" height="4" /></svg>')


def test_entities_are_refused_before_they_unfold() -> None:
    with pytest.raises(UnfitLogo):
        safe_svg(f'<!DOCTYPE svg [<!ENTITY a "aaaa">]>{OPEN}{DISC}&a;</svg>', "Logo")


@pytest.mark.parametrize(
    "text", ["", "<svg", "<p>no</p>", f"{OPEN}</svg>", OPEN.replace("0 0 10 10", "0 0 x 1") + DISC + "</svg>"]
)
def test_a_file_that_is_no_drawing_is_refused(text: str) -> None:
    with pytest.raises(UnfitLogo):
        safe_svg(text, "Logo")
