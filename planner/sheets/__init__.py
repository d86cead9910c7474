"""True-size sheets for the bench, drawn from a plan: nothing here computes what the plan should have said."""
