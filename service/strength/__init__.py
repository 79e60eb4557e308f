"""What a design bears, estimated by published formulas, against what dogs and hands were measured to pull.

An estimate, never a rating. Knows no web or files.
"""

from service.strength.demand import Demand
from service.strength.estimate import Estimate, Way, estimate_strength, ratio, ways_to_strengthen
from service.strength.modes import Input, Mode

__all__ = ["Demand", "Estimate", "Input", "Mode", "Way", "estimate_strength", "ratio", "ways_to_strengthen"]
