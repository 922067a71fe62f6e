"""Words that may stand beside a verdict (`good`, `taub`) without changing it, in nine languages.

Beside any other word a verdict is a guess, a look, somebody else's word or an old one: `hopefully good`, `optisch gut`,
`seller says good`, `was good`. So what is not known here takes it away. Common practice, no source.
"""

import re
from collections.abc import Iterable

from inventory.lists.rules.heading_text import TESTERS

_KNOWN = frozenset(
    # tests and what is tested
    "test tests tested testing retested read reads measured measures checked emission gm tube tubes valve valves lampe "
    "geprüft getestet gemessen prüft misst röhre röhren heizfaden faden heizung system systeme schluss kurzschluss "
    "testé testée testés testées mesurée contrôlée lampes filament filaments émission état fonctionnement "
    "getest gemeten buis buizen gloeidraad staat testata testate provata provate valvola filamento emissione stato "
    "probada probadas medida válvula emisión estado sprawdzona przetestowana zmierzona lampa żarzenie włókno emisja "
    "stan zkoušená zkoušeno měřená změřeno elektronka žhavení vlákno emise stav проверена проверен проверены проверено "
    "испытана измерена лампа лампы накал нить эмиссия состояние состоянии сост колба "
    # degrees that leave it a verdict
    "very still all both each every quite totally completely really perfectly strong now again recently sehr noch "
    "alle beide ganz völlig total stark einwandfrei très encore tout tous toutes deux zeer heel nog beide molto ancora "
    "tutte muy todas bardzo jeszcze wszystkie velmi ještě všechny очень ещё еще все вполне полностью "
    # what is broken
    "heater heaters glass envelope bulb section sections half halves short shorts burned burnt out cold hot glas "
    "gerissen durch verre ampoule coupé ampolla vetro szkło sklo стекло hs g1 g2 work works working order "
    # small words
    "it its is are auf the a an at by on in with and or to und ist sind mit et est sont le la les une un en è e i y o "
    "é jest je są w na и в на с new".split()
)
#: Of age, box and looks, but not of how it looks: that is no test.
_LOOKS = frozenset("look looks looking like".split())


def unknown_beside(rest: str, no_verdict: Iterable[str]) -> str:
    """Of a clause without the words of its verdict those that are not known; empty where all are.

    ``no_verdict``: words of age and box, which say nothing of a verdict. Figures and names of testers are known.
    """
    words = re.findall(r"[^\W_]+", TESTERS.sub(" ", rest))
    known = (_KNOWN | frozenset(no_verdict)) - _LOOKS
    return " ".join(word for word in words if len(word) > 1 and word not in known and not any(map(str.isdigit, word)))
