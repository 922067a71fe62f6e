"""Words for what things lie in, in nine languages, and what tells one place from several: `Regal 1, Fach 4`.

A shelf and a compartment, a cabinet and a drawer, parted by a comma, are a place and what lies in it; twice the same
word (`Fach 1, Fach 2`) are two places. Common practice, no source.
"""

import re
from collections.abc import Sequence

from inventory.lists.rules.heading_text import fold_heading

_WORDS = (
    # English, German, French, Dutch, Italian, Spanish, Polish, Czech, Russian
    "box shelf shelves drawer cabinet cupboard rack bin crate tray case bay room row bench attic cellar garage shed "
    "barn unit section level tier slot compartment carton locker closet aisle "
    "regal fach schublade schub lade schrank kiste karton schachtel raum zimmer keller boden dachboden werkstatt halle "
    "lager reihe ebene etage abteil koffer kasten wanne spind tisch truhe brett behälter magazin schuppen "
    "étagère tiroir armoire carton boîte caisse casier rayon salle pièce cave grenier atelier meuble bac niveau rangée "
    "tablette placard valise malle "
    "kast plank vak doos kist krat rek kamer zolder kelder schuur bak rij stelling koffer ladekast "
    "scaffale ripiano cassetto cassettiera armadio scatola scatolone cassa stanza cantina soffitta mensola piano fila "
    "scomparto vano vetrina laboratorio magazzino "
    "estante estantería cajón caja armario balda repisa sala cuarto sótano desván taller fila bandeja "
    "półka regał szuflada szafa szafka pudełko pudło karton skrzynia skrzynka pokój piwnica strych rząd poziom "
    "przegroda komora magazyn warsztat "
    "police regál šuplík zásuvka skříň skříňka krabice krabička bedna pokoj sklep půda řada patro přihrádka místnost "
    "dílna box "
    "полка ящик ящичек шкаф коробка стеллаж комната ряд ярус секция отсек отделение кладовка кладовая подвал чердак "
    "гараж сарай тумба тумбочка стол чемодан контейнер лоток ячейка сундук мастерская склад антресоль"
)
_HOLDERS = frozenset(map(fold_heading, _WORDS.split()))
_NUMBER_BEHIND = re.compile(r"[- .]*[0-9].*")


def one_in_another(parts: Sequence[str], between: Sequence[str]) -> bool:
    """Whether the codes of a cell are one place, named with what it lies in; ``between``: the signs that part them.

    So they are where commas alone part them, each has a word of its own, and one at least is of what things lie in.
    """
    words = [fold_heading(_NUMBER_BEHIND.sub("", part)) for part in parts]
    return (
        all(sign.strip() == "," for sign in between)
        and all(len(word) > 1 for word in words)
        and len(set(words)) == len(words)
        and not _HOLDERS.isdisjoint(words)
    )
