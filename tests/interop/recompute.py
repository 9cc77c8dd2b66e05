"""Works formulas out again with pint, a units library that shares nothing with rimsieve.

Reads a JSON list of {"formula", "value", "unit"} on standard input and prints every formula that does not come to its
figure, within half of the last decimal that is shown.
"""

import json
import re
import sys

import pint

UNITS = pint.UnitRegistry()
SHOWN = {"mm": 1e-3, "kg": 1e-2, "kPa": 0.05, "%": 1e-3}

# A figure and its unit belong together, whatever stands beside them.
QUANTITY = re.compile(r"(-?[0-9.]+) (mm|kg|kPa)")

steps = json.load(sys.stdin)
for step in steps:
    formula = QUANTITY.sub(r"(\1 * \2)", step["formula"]).replace("^", "**")
    worked = UNITS.parse_expression(formula)
    unit = "percent" if step["unit"] == "%" else step["unit"]
    figure = UNITS.Quantity(worked).to(unit).magnitude
    if abs(figure - step["value"]) > SHOWN[step["unit"]]:
        print(f"{step['fact']}: {step['formula']} is {figure} {unit}, not {step['value']}")
print(f"{len(steps)} worked out again")
