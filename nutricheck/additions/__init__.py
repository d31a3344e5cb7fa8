"""The lightest additions that close the gaps of a plan, and what could be left out of it."""

from nutricheck.additions.proposal import (
    Proposal,
    Reduction,
    additions,
    plan_with,
    reduction,
)

__all__ = ["Proposal", "Reduction", "additions", "plan_with", "reduction"]
