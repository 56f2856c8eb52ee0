"""Money and energy of a set: standard costs from routes, likely times, rates and prices."""

from pairwright.costing.orders import order_book_cost
from pairwright.costing.standard import SetCost, StepCost, set_cost, set_costs
from pairwright.costing.yields import Runs, runs_per_set

__all__ = ["Runs", "SetCost", "StepCost", "order_book_cost", "runs_per_set", "set_cost", "set_costs"]
