"""How a source begins that the firm's own jobs gave; of labor, the rate as typed follows. Pure."""

OWN_JOBS = "Your own jobs: "
