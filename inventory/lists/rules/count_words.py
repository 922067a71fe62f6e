"""Words of counts in English, German, French, Dutch, Italian, Spanish, Polish, Czech and Russian.

Common practice, no source. A dozen is twelve, a gross 144, a pair two; "ein paar" and "een paar" are a few as often.
"""

import re

_NUMBERS = (
    "one ein eine eins un une een uno una jeden jedna один одна", "two zwei deux twee due dos dwa dwie dva dvě два две",
    "three drei trois drie tre tres trzy tři три", "four vier quatre quattro cuatro cztery čtyři четыре",
    "five fünf cinq vijf cinque cinco pięć pět пять", "six sechs zes sei seis sześć šest шесть",
    "seven sieben sept zeven sette siete siedem sedm семь", "eight acht huit otto ocho osiem osm восемь",
    "nine neun neuf negen nove nueve dziewięć devět девять", "ten zehn dix tien dieci diez dziesięć deset десять",
    "eleven elf onze undici", "twelve zwölf douze twaalf dodici doce dwanaście dvanáct двенадцать",
)  # fmt: skip
WORD_FIGURES = {word: number for number, words in enumerate(_NUMBERS, start=1) for word in words.split()}
ZERO = frozenset(
    "0 none nil zero keine kein null geen aucun aucune nessuno nessuna ninguno brak żadna žádná нет leer empty vide "
    "leeg vuoto vacío pusto prázdné пусто".split()
)
FEW = re.compile(
    r"(?:a |ein(?:e|ige)? |quelques |een )?(?:few|couple|handful|lot|bunch|box|case|carton|boxful|some|several|"
    r"many|lots|"
    r"paar|einige|mehrere|viele|ein bisschen|quelques|plusieurs|enkele|veel|handvoll|div\.?|diverse|various|alcuni|"
    r"alcune|varios|varie|kilka|několik|pár|несколько|много)(?: of .{0,40})?\??"
)
_DOZEN = (
    "dz|doz|dozen|dozens|dutzend|dtz|dzd|douzaines?|dozijn|dozzin[ae]|docenas?|tuzin[ay]?|tuct[ůy]|tucet|дюжин[аы]?"
)
_PAIR = "prs?|pairs?|paare?|paires?|paar|coppi[ae]|pai[ao]|para|pary|пар[аы]?"
UNIT = (
    rf"(?:(?P<dozen>{_DOZEN})|(?P<pair>{_PAIR})|"
    r"(?P<gross>gross|gros)|(?:pcs?|pieces?|ea|each|off|of|stk|stck|st|stücke?|pi[eè]ces?|pces?|stuks?|x|tubes?|"
    r"valves?|röhren?|lampes?|buizen|valvole|lamp[yae]?|elektronky|лампы?|шт|штук[аи]?|pz|pezzi|szt|sztuk[ai]?|ks|kusů|"
    r"kusy?|uds?|units?|total))\.?"
)
#: A unit that counts by itself: `dozen`, `un paio`.
ALONE = re.compile(rf"(?:{_DOZEN}|pairs?|pr|paire|coppia|paio|para|пара)\.?(?: of .{{0,40}})?")
#: The noun of two that belong together, which small letters make into a few.
PAIR_NOUN = re.compile(r"(?:(?:[Ee]in|1) )?Paar(?: Röhren)?|(?:(?:[Ee]en|1) )?Paar")
#: About so many, by the word alone: `une dizaine`.
ABOUT_WORDS = {"dizaine": 10, "quinzaine": 15, "vingtaine": 20, "trentaine": 30, "cinquantaine": 50, "centaine": 100}
