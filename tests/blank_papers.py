"""Papers issued without drawing them, for tests that look at sums alone."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from estimating.documents import issue


@contextmanager
def papers_left_blank() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(issue, "make_pdf", lambda snapshot: b"%PDF-1.7 %%EOF")
        yield
