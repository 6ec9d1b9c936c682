"""Phrases put into plain notation before a text is scanned: each with what is written in their place, and the words without
one of which it cannot stand in a text.
"""

from __future__ import annotations

_UNIT = r"k?N|lbs?|k?m|ft|mph|knots?|kn|degrees?|deg|°"
_GRAVITY = (
    r"(?:(?:with|using|taking|took|where|for|if|and) )?g ?(?:=|≈|is|as|of|:) ?9[.,]8\d{0,4}"
    r"(?: ?m/s(?:\^2|2|/s)?| ?N/kg)?(?![\w.])"
)
_TO_NEAREST = r"(?:(?:correct |rounded )?to )?(?:the )?nearest (?:tenth|hundredth|0?\.0*1|10*)"

# What is looked for, what it becomes, and the words without one of which there is no need to look.
PHRASES = (
    (
        r"\(?\b(?:in )?(?:the )?(?:NE|NW|SE|SW|(?:north|south)[- ]?(?:east|west)) quad(?:rant)?\b\)?",
        "",
        "quadrant quad",
    ),
    (
        r"\(?\b(?:(?:in|the|of) )*(?:(?:first|second|third|fourth|[1-4](?:st|nd|rd|th)|IV|I{1,3}) )?"
        r"quad(?:rant)?(?: (?:IV|I{1,3}|[1-4]))?\b\)?",
        "",
        "quadrant quad",
    ),
    (r"\b(north|south|east|west) axis\b", r"\1", "axis"),
    (r"(?<=[°*]) ?\((?:in )?deg(?:ree)?s?\.?\)", "", "deg degree degrees"),
    (r"\b(from|of) true (?=north\b)", r"\1 ", "true"),
    (r"\bmade good\b", "", "made"),
    (r"\b(?:with|in) reference to\b", "from", "reference"),
    (r"\baway from (?=(?:the |due )?(?:north|south|east|west|[NSEW])\b)", "from ", "away"),
    (r"[,(]?\s*\bq(?:uad)? ?(?:IV|I{1,3}|[1-4])\b\)?(?!\s*[=:]\s*\d)", "", "q qi qii qiii qiv quad"),
    (r"\.?\s*\b(?:triangle|case|solution|option) ?#?(?:1|2)\b ?[:.)-]?", ";", "triangle case solution option"),
    (r"[.,;]?\s*\b(?:T|Tri) ?[12] ?[:.)-]\s*(?=∠?[ABCabc] ?[=:])", "; ", "t tri"),
    (
        r"(?:^|[.,;\n]) ?(?:acute|obtuse)(?: (?:case|triangle|one))?(?: is)? ?[:-] ?(?=∠?[ABCabc]\b)",
        "; ",
        "acute obtuse",
    ),
    (
        r"\.?\s*\b(?:the )?(?:first|second|1st|2nd)(?: (?:triangle|case|solution|one))? ?[:)-]\s*(?=∠?[ABCabc] ?[=:])",
        "; ",
        "first second st nd",
    ),
    (
        r"\.?\s*\b(?:and )?(?:the )?(?:first|second|1st|2nd) (?:triangle|case|solution|one)"
        r" (?=(?:has |angle )?[ABC] ?(?:[=:]|is\b|equals\b))",
        "; ",
        "first second st nd",
    ),
    (r"\bmissing (?=(?:angle|side)\b)", "", "missing"),
    (r"\b(?:angles?|sides?) ?: ?(?=∠?[ABCabc] ?=)", "", "angle angles side sides"),
    (
        r"\b(?:along|on|in) (?:the )?([xy])\b(?! ?-?(?:axis|axes|dir|comp)| ?[=:])",
        r"in the \1 direction",
        "along on in",
    ),
    (r"\(\s*q(?:uad)?\.? ?(?:IV|I{1,3}|[1-4])\s*\)", "", "q quad qi qii qiii qiv"),
    (r"\bx[- ]hat\b", "i", "hat"),
    (r"\by[- ]hat\b", "j", "hat"),
    (r"\bin (?:the )?([ij])[ -]?(?:hat )?direction\b", r"\1", "direction"),
    (r"\b0 (?:possible )?(?:triangles|solutions)\b", "no solution", "triangles solutions"),
    (
        r"\b(?:there are )?2 (?:possible )?(?:triangles|solutions|answers|fixes|positions)\b ?[:,]?",
        "",
        "triangles solutions answers fixes positions",
    ),
    (r"\b(?:all|both|each) (?=(?:are )?(?:rounded|correct) to\b)", "", "rounded correct"),
    (r"\bmade good\b", "", "good"),
    (rf"\(\s*{_GRAVITY}\s*\)", "", "g"),
    (rf"(?:[,;]\s*)?\b{_GRAVITY}[,;]?", "", "g"),
    (r"(?<=[/ ])(s|sec|seconds?) squared\b", r"\1^2", "squared"),
    (r"\bcorner (?=[A-Cα-γ]\b)", "angle ", "corner"),
    (r"(?<![xy][- ])\baxis (?:of )?([xy]) (positive|negative)\b", r"\2 \1 axis", "axis"),
    (r"(?<![xy][- ])\baxis (?:of )?([xy])\b(?! ?[=:])", r"\1 axis", "axis"),
    (
        r"(?<=\w) (?:through the water|over (?:the )?ground)\b(?=[\s.]*$)",
        "",
        "water ground",
    ),
    (r"\b(?:inverse|arc) ?(sin|cos|tan)(?:e|ine|gent)?\b(?: of\b)?", r"arc\1", "inverse arc"),
    (r"\b(sin|cos|tan)(?:e|ine|gent)? inverse\b(?: of\b)?", r"arc\1", "inverse"),
    (r"(?:(?<=\d) and )?\b(\d) thirds\b", r" \1/3", "thirds"),
    (r"\bunder ?way\b", "", "way underway"),
    (r"(?:\b|(?<=\d))(?:the )?(?:square|sq\.?) ?(?:roots?|rt)(?: of)?\b", "√", "root roots rt"),
    (
        r"(\d ?(?:met(?:er|re)s?|[kc]?m|feet|ft|miles?|mi|yards?|yds?)) (?:long|away|apart|across|in length|wide|tall)\s*[.!]?$",
        r"\1",
        "long away apart across length wide tall",
    ),
    (r"\b(?:and )?(?:a|one|1) half\b(?! of)", " 1/2", "half"),
    (r"\b(?:and )?(?:a|one|1) quarter\b", " 1/4", "quarter"),
    (r"\b(?:and )?(?:three|3) quarters\b", " 3/4", "quarters"),
    (r"\bdivided\s+by\b", "/", "divided"),
    (r"\bmultiplied\s+by\b", "×", "multiplied"),
    (r"(?<=[\w°]) comma (?=[\w(-])", ", ", "comma"),
    (r",?\s*\b(?:new ?line|next line)\b,?", "\n", "newline new next"),
    (r"\b(?:capital|big) (?=[A-C]\b)", "", "capital big"),
    (r"(?<=degree) sign\b|(?<=degrees) sign\b", "", "sign"),
    (r"\s*\b(?:period|full stop)\W*$", "", "period stop"),
    (r"\b(?:open|left) (?:parenthesis|parentheses|paren|bracket)\b ?", "(", "parenthesis parentheses paren bracket"),
    (
        r" ?\b(?:close|closed?|right) (?:parenthesis|parentheses|paren|bracket)\b",
        ")",
        "parenthesis parentheses paren bracket",
    ),
    (r"\bunder (?:an )?angle\b(?: of\b)?", "at", "angle"),
    (r"(?:(?<=°)|(?<=\bdegrees)|(?<=\bdeg)) ?-?ish\b", "", "ish"),
    (r"\b(?:oer|pwr|perr|pre) (?=h(?:ou)?rs?\b|sec|s\b)", "per ", "oer pwr perr pre"),
    (r"(?<=\w) (?:or so|(?:,? ?give or take))\b(?! ?(?:the|a|an|\d))", "", "so take"),
    (r"\b(angle|side|little|small|capital|big) (?:see|sea)\b", r"\1 C", "see sea"),
    (r"\b(angle|side|little|small|capital|big) (?:be|bee)\b", r"\1 B", "be bee"),
    (r"\b(?:little|small|lower ?case) (?=[a-cA-C]\b)", "side ", "little small lowercase lower"),
    (
        r"(?:^|\b(?:the|these|those|both) )[23] "
        r"(?=(?:ropes|forces|tugs|cables|vectors|lines|chains|slings|wires|boats|winds|sides)\b)",
        "the ",
        "ropes forces tugs cables vectors lines chains slings wires boats winds sides",
    ),
    (r"\b(?:from|of) (?:its|their|the) (?:starting (?:point|position)|start)\b", "", "starting start"),
    (
        r"\balong (?:the )?(?:slope|incline|ramp|plane)\b(?=.{1,60}\bperpendicular to (?:it|the)\b)",
        "parallel",
        "perpendicular",
    ),
    (r"\bperpendicular to it\b", "perpendicular", "perpendicular"),
    (r"\(\s*(?:R_?)?x\s*,\s*(?:R_?)?y\s*\)\s*=", "", "x"),
    (
        r"(?<=\b10)(?<![.,]10)\s+(?:raised )?to the\s+(?!nearest\b|\w+ (?:decimal|place))(?:power (?:of )?)?",
        "^",
        "to",
    ),
    (r"(?<=\^)\s*(?:negative|minus)\s*", "-", "negative minus"),
    (r"(?<=\d) power\b", "", "power"),
    (r"(?<=\d)(?:k| ?thousand)\b(?![/·])", "e3", "k thousand"),
    (r"(?<=\d) ?million\b", "e6", "million"),
    (r"(?<=\d) ?xx ?(?=10)", "×", "xx"),
    (r"\(?\bcos ?\(?([-\d.,]+ ?°?)\)? ?\+ ?i ?sin ?\(?\1\)?\)?", r"∠\1", "cos"),
    (
        r"[,;(]?\s*\b(?:but )?(?:i'?m )?not (?:\d+ ?% |too |very |really |totally |so |completely )?sure\b[^\d\n]*$",
        "",
        "sure",
    ),
    (
        r"[,;(]?\s*\b(?:i'?m )?(?:about )?\d+ ?(?:%|percent|/ ?\d+|out of \d+) (?:sure|certain|confident|confidence)\b\s*\)?",
        "",
        "sure certain confident confidence",
    ),
    (r"(?<=\d) ?x ?(?=√|sqrt|root|rt)", "×", "x"),
    (r"(?:^|(?<=[=:] )|(?<=\bis ))point (?=\d)", "0.", "point"),
    (
        rf"\b({_UNIT})[ ,(]*{_TO_NEAREST} ?(?:of an? )?\1(?!\w)\s*\)?",
        r"\1",
        "nearest",
    ),
    (rf"(°|\bdeg(?:rees?)?)[ ,(]*{_TO_NEAREST} ?(?:of an? )?(?:°|deg(?:rees?)?)(?!\w)\s*\)?", r"\1", "nearest"),
    (rf"[(,]?\s*\b{_TO_NEAREST}(?: ?(?:of an? )?({_UNIT}))?(?![\w.:])\s*\)?", r" \1", "nearest"),
    (r"\b(?:counter|anti|contra)[- ]?(?=clockwise\b|cw\b)", "counter", "clockwise cw"),
    (
        r"\bno,? wait\b|\bscratch that\b|\bi mean\b|\bactually\b|\bcorrection\b",
        "⇒",
        "wait scratch mean actually correction",
    ),
    (
        r",?\s*\b(?:which )?(?:(?:rounds?|rounding) to|rounded(?: to)?|(?:rounds?|rounded|rounding) (?:off|up|down)(?: to)?)"
        r" (?=-?\d)(?!\d ?(?:d\.?p|s\.?f|sig|dec|place|digit|fig))",
        " ⇒ ",
        "round rounds rounded rounding",
    ),
    (r"\bi\.\s?e\.?(?![a-z])|\bie\b|\bthat is\b|\bin other words\b|\baka\b|\bwhich is\b", "=", "e ie is words aka"),
    (
        r"\bi(?='?(?:d|ll|m|ve)?\s+(?:think|hope|guess|got|get|believe|am|have|know|found|did|used|just|say|would|will|calculated)\b)",
        "",
        "think hope guess got get believe am have know found did used just say would will calculated",
    ),
    (
        r"\b(?:down|up|along|parallel to|perpendicular to|into)\s+(?:the\s+)?(?:slope|incline|ramp|plane|surface|hill)\b",
        "",
        "slope incline ramp plane surface hill",
    ),
    (
        r"\bto (?:the |one |two |three |\d )?(?:nearest )?\w+\b(?! power)(?: (?:decimal )?places?\b| decimals?\b)?",
        "",
        "nearest place places decimal decimals",
    ),
    (
        r"[(,]?\s*(?:(?:correct |rounded |exact )?to )?(?<![\d.])\d\s*"
        r"(?:d\.?p\.?|s\.?f\.?|sig\.? ?figs?\.?|significant (?:figures|digits)|decimal places?|decimals?|places?|digits?"
        r"|figures?|figs)(?![a-z])\s*\)?",
        "",
        "dp d sf f sig significant decimal decimals p place places digit digits figure figures figs",
    ),
)
