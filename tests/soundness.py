"""What every page has to keep, as a browser sees it."""

from axe_playwright_python.base import AXE_SCRIPT, AxeResults
from playwright.sync_api import Page

# Only what is violated is told node by node: the rest would fill most of the answer.
WCAG = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]},
    "resultTypes": ["violations"],
}


def is_sound(page: Page) -> None:
    """Nobody is shut out by WCAG 2.2 AA, and nothing has to be scrolled for sideways."""
    page.wait_for_load_state()  # a page that was just asked for may not stand yet
    if page.evaluate("typeof axe == 'undefined'"):  # it takes half as long to read as to run
        page.evaluate(AXE_SCRIPT)
    results = AxeResults(page.evaluate("options => axe.run(options)", WCAG))
    assert results.violations_count == 0, results.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
