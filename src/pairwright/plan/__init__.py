"""Schedules: placed, searched, bounded, explained and forecast. Knows works and base only."""

from pairwright.plan.forecast import (
    Chunk,
    Forecast,
    forecast_chunk,
    forecast_document,
    forecast_runs,
    merge_forecast,
)
from pairwright.plan.make import make_plan, plan_like
from pairwright.plan.materials import Planner, supplied_plan
from pairwright.plan.schedule import (
    Operation,
    OrderDates,
    Schedule,
    Stay,
    ToolChange,
    document,
    from_document,
)
from pairwright.plan.tools import ToolPlanner, tooled_plan, with_changes

__all__ = [
    "Chunk",
    "Forecast",
    "Operation",
    "OrderDates",
    "Planner",
    "Schedule",
    "Stay",
    "ToolChange",
    "ToolPlanner",
    "document",
    "forecast_chunk",
    "forecast_document",
    "forecast_runs",
    "from_document",
    "make_plan",
    "merge_forecast",
    "plan_like",
    "supplied_plan",
    "tooled_plan",
    "with_changes",
]
