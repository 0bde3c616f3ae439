"""What other pages show of the site: the days, and the clock that runs."""
