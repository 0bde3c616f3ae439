"""Publications against which both our arithmetic and the rates of the shipped catalog are checked."""

from tests.published import Source

TEXTBOOK = Source(
    "Estimating in Building Construction (college text), chapter 16, Finishes",
    "page 203 as stored",
    "https://issuhub.com/view/index/4050?pageIndex=216",
)
PER_SQFT = Source(
    "How much thinset do I need per square foot",
    "as stored",
    "https://engineerfix.com/how-much-thinset-do-i-need-per-square-foot",
)
ADVANCED = Source(
    "NAVEDTRA 14045, Builder Advanced (U.S. Navy, public domain)",
    "as stored at tpub.com",
    "https://constructionmanuals.tpub.com/14045/css/Construction-Activities-69.htm",
)
GRIFFITH = Source(
    'I. S. Griffith, Carpentry, "Painting" (public domain)',
    "1916, fourth edition 1919",
    "https://chestofbooks.com/home-improvement/woodworking/Ira-S-Griffith/Carpentry/Painting.html",
)
FITOUT = Source(
    "Guild of Project Controls, Compendium: Fitout & Finishes (origin of its table not stated; its layout is "
    "that of the military work-element tables)",
    "as stored",
    "http://www.planningplanet.com/wiki/422386/fitout-finishes",
)
# Rows of its table.
FRAME, HANG = "Door Frames and Trim", "Doors, Fit, Hang, and Lock"
ARMY = Source(
    "TM 43-0139, Painting Instructions for Army Materiel, Table 3-2, Oil Paint Coverage (public domain)",
    "as stored at tpub.com",
    "https://automotiveaccessories.tpub.com/TM-43-0139/css/TM-43-0139_43.htm",
)
ASK_THE_EXPERTS = Source(
    "National Tile Contractors Association, Ask the Experts",
    "November 2016",
    "http://tileletter.com/2016/11/ask-the-experts-november-2016/",
)
