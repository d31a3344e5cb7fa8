"""The one call of the solver, HiGHS: a linear or mixed-integer programme in, a solution out."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import highspy
    from numpy.typing import NDArray

__all__ = ["INFEASIBLE", "OPTIMAL", "OUT_OF_TIME", "UNBOUNDED", "UNDECIDED", "Solution", "minimum"]

OPTIMAL, OUT_OF_TIME, INFEASIBLE, UNBOUNDED = "optimal", "out of time", "infeasible", "unbounded"
UNDECIDED = "undecided"  # infeasible or unbounded, or a fault of the solver's own


@dataclass(frozen=True)
class Solution:
    """What the solver says: its status, the columns, the objective and the proven bound.

    Attributes
    ----------
    status : str
        One of this module's words.
    x : ndarray, shape (columns,), optional
        The best found; None where nothing was found.
    objective, bound : float
        Cost of ``x``, and the proven least that it could be.
    duals : ndarray, shape (rows,), optional
        What the objective gains per unit of each right-hand side; of linear programmes only.
    reduced_costs : ndarray, shape (columns,), optional
        What one unit more of a column costs that stands at nought, else 0; likewise.
    """

    status: str
    x: NDArray[np.float64] | None
    objective: float = np.nan
    bound: float = np.nan
    duals: NDArray[np.float64] | None = None
    reduced_costs: NDArray[np.float64] | None = None


def minimum(
    cost: NDArray[np.float64],
    matrix: Any,
    rhs: NDArray[np.float64],
    upper: NDArray[np.float64],
    is_whole: NDArray[np.bool_],
    *,
    time_limit_s: float,
    gap: float = 0.0,
) -> Solution:
    """The least cost·x with matrix·x ≤ rhs and 0 ≤ x ≤ upper.

    Parameters
    ----------
    cost, upper : ndarray, shape (columns,)
        Objective and upper bounds; inf: no bound.
    matrix : scipy.sparse.csr_array, shape (rows, columns)
        The rows that hold x down.
    rhs : ndarray, shape (rows,)
        Their right-hand sides.
    is_whole : ndarray of bool, shape (columns,)
        Which columns are whole numbers. Where none is, the solution has duals.
    time_limit_s : float
        When the search stops with the best found; a second try has what the first left. [s]
    gap : float
        Relative distance from the proven bound that is good enough for whole numbers. [-]
    """
    import highspy

    deadline = time.monotonic() + time_limit_s
    for presolve in ("on", "off"):
        solver = _solver(cost, matrix, rhs, upper, is_whole)
        solver.setOptionValue("presolve", presolve)
        solver.setOptionValue("time_limit", max(deadline - time.monotonic(), 0.0))
        solver.setOptionValue("mip_rel_gap", gap)
        solver.run()
        status = _status(solver)
        if status != UNDECIDED or is_whole.any():
            break  # else "infeasible or unbounded", which presolve cannot tell apart
    found, info = solver.getSolution(), solver.getInfo()
    is_linear = not is_whole.any()
    if not _has_point(solver) or (is_linear and status != OPTIMAL):
        return Solution(status, None)
    x = np.clip(np.array(found.col_value), 0.0, upper)
    if not is_linear:
        x = np.where(is_whole, np.round(x), x)
        objective = float(cost @ x)
        return Solution(status, x, objective, min(float(info.mip_dual_bound), objective))
    objective = float(info.objective_function_value)
    at_nought = [
        stands == highspy.HighsBasisStatus.kLower for stands in solver.getBasis().col_status
    ]
    return Solution(
        OPTIMAL,
        x,
        objective,
        objective,
        duals=np.array(found.row_dual),
        reduced_costs=np.where(at_nought, np.array(found.col_dual), 0.0),
    )


def _solver(
    cost: NDArray[np.float64],
    matrix: Any,
    rhs: NDArray[np.float64],
    upper: NDArray[np.float64],
    is_whole: NDArray[np.bool_],
) -> highspy.Highs:
    """The solver with the programme in it, silent."""
    import highspy

    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = matrix.shape
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, np.zeros_like(cost), upper
    lp.row_lower_, lp.row_upper_ = np.full(len(rhs), -np.inf), rhs
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = matrix.indptr.astype(np.int32)
    lp.a_matrix_.index_ = matrix.indices.astype(np.int32)
    lp.a_matrix_.value_ = matrix.data
    if is_whole.any():
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[int(whole)] for whole in is_whole]
    solver = _silent()
    solver.setOptionValue("output_flag", False)
    solver.passModel(lp)
    return solver


def _silent() -> highspy.Highs:
    """A solver that prints nothing: newer ones greet on stdout where callbacks are enabled."""
    import highspy

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:
            pass

    return Silent()  # type: ignore[no-untyped-call]


def _status(solver: highspy.Highs) -> str:
    """The solver's status in this module's words."""
    from highspy import HighsModelStatus as Status

    words = {
        Status.kOptimal: OPTIMAL,
        Status.kModelEmpty: OPTIMAL,
        Status.kTimeLimit: OUT_OF_TIME,
        Status.kInfeasible: INFEASIBLE,
        Status.kUnbounded: UNBOUNDED,
    }
    return words.get(solver.getModelStatus(), UNDECIDED)


def _has_point(solver: highspy.Highs) -> bool:
    """Whether the solver holds a point that keeps every row."""
    from highspy import SolutionStatus

    feasible = SolutionStatus.kSolutionStatusFeasible.value
    return bool(solver.getInfo().primal_solution_status == feasible)
