"""What other pages show of the site: the clock that runs."""
