"""The lightest additions that close the gaps of a plan, and what could be left out of it."""

from nutricheck.advice.additions.into_plan import plan_with
from nutricheck.advice.additions.proposal import additions
from nutricheck.advice.additions.reduction import reduction
from nutricheck.advice.additions.results import Proposal, Reduction

__all__ = ["Proposal", "Reduction", "additions", "plan_with", "reduction"]
