"""The engine: sheets on any surface; knows no room and no job."""
