"""What was bought for a job against what was priced to be bought."""

from dataclasses import dataclass
from decimal import Decimal

NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class Bought:
    """Material, equipment and subcontracts of a job, with the tax paid on them.

    `priced` is what the price holds for them, `spent` what receipts come to, returns taken off.
    """

    priced: Decimal
    spent: Decimal
    is_closed: bool = False

    @property
    def left(self) -> Decimal:
        return NOTHING if self.is_closed else max(self.priced - self.spent, NOTHING)

    @property
    def expected(self) -> Decimal:
        """What it comes to at the end: what is spent and what is left to spend."""
        return self.spent + self.left

    @property
    def over(self) -> Decimal:
        """By how much more is spent than was priced."""
        return max(self.spent - self.priced, NOTHING)
