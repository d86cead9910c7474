"""How does a plan show itself in a notebook? As a short table of its flats with their pictures, and what was found."""

from __future__ import annotations

import base64
import html
from collections import Counter

from planner.findings import SEVERITIES
from planner.page.picture import flat_picture
from planner.plan import Flat, Plan
from planner.summary import used_share


def plan_html(plan: Plan) -> str:
    """Give a summary of a plan as static HTML: title, flats with pictures, held plates, findings by severity."""
    placed = sum(len(flat.placements) for flat in plan.flats)
    counts = Counter(finding.severity for finding in plan.findings)
    found = ", ".join(f"{counts[severity]} {severity}" for severity in SEVERITIES if counts[severity])
    held = "".join(f"<li>{html.escape(one.plate)} {html.escape(one.reason)}</li>" for one in plan.held)
    return (
        f"<div><p><strong>{html.escape(plan.title or 'Plan')}</strong>: {placed} plates of {len(plan.jobs)} jobs "
        f"on {len(plan.flats)} flats; findings: {found or 'none'}.</p>"
        + "".join(_figure(plan, flat) for flat in plan.flats)
        + (f"<p>Held, on no flat:</p><ul>{held}</ul>" if held else "")
        + "</div>"
    )


def _figure(plan: Plan, flat: Flat) -> str:
    words = f"Flat {flat.number}: {flat.sheet.name}, {len(flat.placements)} plates, {used_share(plan, flat):.0%} used"
    # As an image of its own a picture keeps its style to itself, whatever the notebook does.
    data = base64.b64encode(flat_picture(flat).encode()).decode("ascii")
    image = f'<img alt="{html.escape(words)}" src="data:image/svg+xml;base64,{data}" style="height:18em">'
    style = "display:inline-block;margin:.5em"
    return f'<figure style="{style}">{image}<figcaption>{html.escape(words)}</figcaption></figure>'
