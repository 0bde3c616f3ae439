"""Parts of a picture as SVG: how it begins, and a disc."""

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">'
DISC = '<circle cx="5" cy="5" r="4" fill="#1d5a9e"/>'
