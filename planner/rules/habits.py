"""What may the house say about any rule, beside the rule's own settings?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.forms import Form


class Habits(Form):
    """How the house uses a rule; these keys stand beside the rule's own under ``[rules.<name>]``."""

    enabled: Annotated[bool, Field(strict=True, description="false switches the rule off")] = True
    file: Annotated[str | None, Field(description="file of the rule, as the house file sees it, if not installed")] = (
        None
    )
    if_it_fails: Annotated[
        Literal["stop", "leave out"], Field(description='"leave out" plans on without a rule that fails, and says so')
    ] = "stop"
    seconds: Annotated[float, Field(gt=0, le=3600, description="that the rule may take for any one answer")] = 10.0
