"""What a browser calls itself, in words."""

BROWSERS = (("Edg", "Edge"), ("Firefox", "Firefox"), ("FxiOS", "Firefox"), ("CriOS", "Chrome"))
LATER_BROWSERS = (("Chrome", "Chrome"), ("Safari", "Safari"))  # others name these, too
MACHINES = (("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"))
LATER_MACHINES = (("Mac OS", "Mac"), ("CrOS", "Chromebook"), ("Linux", "Linux"))


def browser_in_words(agent: str) -> str:
    """Return "Firefox on Windows" of what a browser sends; a claim of the browser's, to recognize it by."""
    browser = _first(agent, BROWSERS + LATER_BROWSERS) or "A browser"
    machine = _first(agent, MACHINES + LATER_MACHINES)
    return f"{browser} on {machine}" if machine else browser


def _first(agent: str, known: tuple[tuple[str, str], ...]) -> str:
    return next((words for part, words in known if part in agent), "")
