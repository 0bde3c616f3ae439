"""What phones ask the site for."""
