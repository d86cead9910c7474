"""The day on a screen: one self-contained HTML file, and pictures for notebooks; drawn from the plan alone."""
