"""How a source begins that the firm's own jobs gave, and one of its own figures. Pure."""

OWN_JOBS = "Your own jobs: "  # of labor, the rate as typed follows
OWN_FIGURES = "Your own numbers. Those supplied came from: "
