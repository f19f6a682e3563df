"""Words in the headings of meter files, in the languages these come in, without accents."""

# A column of times or dates.
TIME = (
    "time",
    "date",
    "zeit",
    "datum",
    "stamp",
    "fecha",
    "hora",
    "data",
    "ora",
    "from",
    "von",
    "start",
    "begin",
    "interval",
    "horodate",
    "tijd",
    "period",
)

# Its stamps mark the end of an interval.
END = (
    "end",
    "ende",
    "bis",
    "to",
    "until",
    "ending",
    "fin",
    "fine",
)

# What a home uses.
WANTED = (
    "consum",
    "usage",
    "used",
    "import",
    "verbrauch",
    "bezug",
    "load",
    "last",
    "demand",
    "energy",
    "energie",
    "power",
    "leistung",
    "kwh",
    "wirkarbeit",
    "household",
    "house",
    "delivered",
    "general",
    "total",
)

# What stands beside it in such files.
UNWANTED = (
    "export",
    "generat",
    "feed",
    "solar",
    "pv",
    "einspeis",
    "volt",
    "current",
    "ampere",
    "temp",
    "price",
    "cost",
    "reactive",
    "kvar",
    "blind",
    "status",
    "flag",
    "quality",
    "id",
    "factor",
    "frequency",
    "received",
    "estimated",
    "serial",
    "meter number",
    "postcode",
)

# A register that only rises.
REGISTER = (
    "register",
    "reading",
    "counter",
    "zahlerstand",
    "stand",
    "index",
    "cumul",
    "lecture",
    "meterstand",
    "odczyt",
)
