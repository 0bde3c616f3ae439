"""The next step of a signed job, as billing names it for the progress bar of the job."""

from dataclasses import dataclass


@dataclass(frozen=True)
class ProgressStep:
    """How far a signed job is by its bills, and what comes next.

    `reached` counts the stages among `STAGES` of estimating/progress/steps.py that are behind the job,
    `words` are what to do next, and `page` is the name of the URL where it is done.
    """

    reached: int
    words: str
    page: str
