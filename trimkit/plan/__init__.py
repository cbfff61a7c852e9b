"""A flight planned: for a hall, a temperature, a stock of motors and an aeroplane.

`plan_flights` winds each motor so far that the ceiling is touched seldom, flies it many times with
what nobody knows exactly, and says turns, launch torque, height and time with their spread, which
motor to take, and what to try first when the flight differs.
"""

from trimkit.plan.outlook import Outlook, Spread
from trimkit.plan.planning import Plan, Refusal, Want, plan_flights

__all__ = ["Outlook", "Plan", "Refusal", "Spread", "Want", "plan_flights"]
