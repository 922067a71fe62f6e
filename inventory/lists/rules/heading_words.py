"""Words of headings in nine languages, by the field that they tell; folded as ``headings.fold_heading`` folds them.

English, German, French, Dutch, Italian, Spanish, Polish, Czech and Russian: common practice, no source. A word that
two languages use for two things is left to the first.
"""

from collections.abc import Iterator, Mapping

from inventory.lists.rules import fields as f

#: Headings, folded, that say of a whole list that it is one of parts.
PART_WORDS = (
    "part", "parts", "component", "components", "spare part", "spare parts", "teil", "teile", "bauteil", "bauteile",
    "ersatzteil", "ersatzteile", "piece", "composant", "composants", "pezzo", "pezzi", "componente", "componenti",
    "componentes", "pieza", "piezas", "onderdeel", "onderdelen", "деталь", "детали",
)  # fmt: skip
#: Whole headings, folded: lower case, no accents, no dots, without what stands in brackets.
_WORDS: Mapping[str, str] = {
    f.MARK: "tube|tubes|tube type|type|valve|valves|valve type|rohre|rohren|rohrentyp|typ|bezeichnung|marking|"
            "marked|stamp|"
            "designation|lampe|tube electronique|buis|buizen|buistype|type no|type number|tube no|tube number|"
            "rohre typ",
    f.QUANTITY: "have|qty|quantity|count|pcs|number of|how many|anz|anzahl|stk|stuck|stuckzahl|menge|bestand|"
                "quantite|qte|"
                "nombre|aantal|on hand|stock|vorrat|nb|hoeveelheid|good qty",
    f.STATE: "state|status|zust|zustand|tests|tested|test result|etat|staat|toestand|verdict|gepruft|getestet|teste|"
             "getest",
    f.READING: "reading|readings|s|gm|gm reading|test reading|emission|messwert|steilheit|wert|mesure|mesures|meting|"
               "meetwaarde|transconductance|mutual conductance|pente|steilheid|measured|tested at",
    f.MINIMUM: "min|minimum|reject|reject limit|limit|mindestwert|grenzwert|minimal|minimumwaarde|sollwert min|"
               "reject point|reject value|reject level|cut-off|cutoff|ausschuss|ausschussgrenze|minimalwert|seuil|"
               "seuil de rejet|valeur mini|mini|limite|afkeur|afkeurgrens|ondergrens",
    f.INSTRUMENT: "tester|tube tester|valve tester|instrument|test instrument|tested with|test set|checker|"
                  "tube checker|valve checker|measured with|prufgerat|rohrenprufgerat|rohrenprufer|testgerat|"
                  "gepruft mit|gepr mit|getestet mit|gemessen mit|messgerat|lampemetre|testeur|"
                  "appareil de mesure|"
                  "teste avec|mesure avec|buizentester|testapparaat|getest met|gemeten met|meetinstrument",
    f.TESTED_ON: "tested on|test date|date tested|gepr am|gepruft am|getestet am|prufdatum|teste le|date de test|"
                 "getest op|testdatum|last tested|gemessen am|messdatum",
    f.PLACE: "box|place|loc|location|where|shelf|drawer|lager|lagerort|ort|fach|schublade|schub|kiste|regal|lieu|"
             "emplacement|tiroir|boite|plaats|locatie|doos|la|storage|bin|cabinet|room|bay|karton",
    f.PRICE: "$|€|£|price|paid|pd|cost|price paid|preis|kosten|bezahlt|einkaufspreis|ek|ek preis|einkauf|"
             "prix|prix paye|prijs|"
             "betaald|dm|eur|"
             "usd|gbp|each|unit price|stuckpreis|purchase price|value paid",
    f.ASKED: "asked|asking|ask|asking price|price asked|for sale|sale price|selling price|verkaufspreis|vk|vk-preis|"
             "angebotspreis|preisvorstellung|prix demande|prix de vente|vraagprijs|verkoopprijs",
    f.MAKER: "maker|make|brand|mfr|mfg|manufacturer|manuf|hersteller|fabrikat|marke|fabricant|marque|fabrikant|merk",
    f.DATE_CODE: "date code|datecode|code|codes|made|mfg date|baujahr|herstelldatum|code date|datumcode|bouwjaar|"
                 "year made|year|fertigungscode",
    f.SERIAL: "serial|ser no|ser nr|serial no|serial number|s/n|sn|ser|ser #|serial #|seriennr|seriennummer|"
              "serien-nr|fabriknr|fabriknummer|"
              "werknr|numero de serie|no de serie|n de serie|serienummer|serie nr|werk-nr",
    f.MATE: "mate|mate / chart|mate/chart|mates|mate serial|mate no|mate s/n|goes with|belongs to|matched to|"
            "gehort zu|"
            "passend zu|zugehorig|partner|book|chart|va avec|hoort bij|companion",
    f.MODEL: "model|nomenclature|set|equipment|unit|item|description|gerat|modell|geratetyp|gegenstand|artikel|"
             "beschreibung|"
             "modele|appareil|designation materiel|toestel|apparaat|omschrijving|name|"
             + "|".join(PART_WORDS),
    f.CONDITION: "condition|cond|appearance|aussehen|beschaffenheit|etat visuel|optik|defects|mangel|conditie",
    f.NOTE: "note|notes|remark|remarks|comment|comments|bem|bemerkung|bemerkungen|notiz|notizen|anmerkung|remarque|"
            "remarques|commentaire|opmerking|opmerkingen|notitie|info|misc|sonstiges",
    f.FROM: "got from|from|source|acquired from|bought from|purchased from|bought at|seller|vendor|supplier|dealer|von|"
            "von wem|herkunft|verkaufer|bezogen von|bezogen bei|gekauft bei|gekauft von|erworben bei|erworben von|"
            "handler|lieferant|provenance|vendeur|achete a|van|herkomst|verkoper|quelle",
    f.ACQUIRED_ON: "acquired|acquired on|date acquired|bought|bought on|purchase date|date bought|gekauft|gekauft am|"
                   "erworben|"
                   "erworben am|kaufdatum|date achat|date d'achat|achete le|gekocht op|aankoopdatum|got on|received",
    f.INSURED: "ins val|insured|insured value|insurance|insurance value|versicherungswert|vers-wert|vers wert|"
               "valeur assuree|verzekerde waarde|ins value|schatzwert|value|wert eur",
    f.KIND: "kind|category|class|art|kategorie|gruppe|categorie|soort|rubrik|item type",
    f.NUMBER: "item #|item no|#|no|nr|lfd nr|lfd|id|tag|inv|inv nr|inv no|inventory no|inventory number|inventarnr|"
              "inventar nr|inventarnummer|numero|n|nummer|pos|"
              "volgnr|ref|line|zeile|no d'ordre|number",
    f.HOW: "acquired how|how acquired|how it came|erworben durch|erwerbsart|acquis par",
    f.TITLE: "evidence of title|proof of purchase|proof of ownership|kaufbeleg|eigentumsnachweis|preuve d achat|"
             "eigendomsbewijs",
    f.LEFT_WHY: "why it left|reason for disposal|abgangsgrund",
    f.LEFT_BY: "authorised by|authorized by|genehmigt von",
    f.LEFT_TO: "went to|recipient|empfanger",
    f.PROCEEDS: "proceeds|erlos",
    f.OWN_NUMBER: "own number|own no|my number|my no|eigene nr|eigene nummer|eigen nummer",
    f.WANTED: "need|needed|want|wanted|wants|gesucht|bedarf|benotigt|fehlt|cherche|besoin|gezocht|nodig|target|soll",
    f.USED: "used|used qty|in use|gebraucht|in betrieb|gebr|utilise|gebruikt|installed|pulls",
    f.FOR_SET: "for set|for|used in|fur gerat|fur|verwendet in|pour|pour appareil|utilise dans|voor|voor toestel|fits",
    f.OTHER: "photo|photos|picture|pic|bild|foto|order/contract|order|contract|order no|contract no|mod?|mod|"
             "mods|modified|"
             "manual|link|url|weight|gewicht|equivalent|equiv|equivalents|aquivalent|vergleichstyp|"
             "base|sockel|culot",
    f.DATED: "date|datum|other date|dated|when|wann|quand|wanneer",
}  # fmt: skip
_MORE: dict[str, str] = {
    f.MARK: "vt|vt no|vt number|type/vt|jan type|cv|cv no|cv number|numero type|type de lampe|type de tube|repere|"
            "marquage|lampes|tubes|opdruk|typenummer|valvola|valvole|tubo|tubi|tipo|tipo valvola|sigla|marcatura|"
            "válvula|válvulas|tipo de válvula|marcado|lampa|lampy|typ lampy|oznaczenie|lampa elektronowa|symbol|"
            "elektronka|elektronky|typ elektronky|označení|značení|лампа|лампы|тип|тип лампы|радиолампа|маркировка|"
            "обозначение|марка лампы",
    f.QUANTITY: "en stock|combien|stuks|voorraad|aanwezig|quantità|q tà|qta|qtà|pezzi|pz|numero pezzi|giacenza|"
                "disponibili|quanti|cantidad|unidades|existencias|ilość|liczba|szt|sztuk|sztuki|ile|stan magazynowy|"
                "počet|množství|ks|kusů|kusy|počet kusů|skladem|количество|кол-во|кол|шт|штук|наличие|"
                "в наличии|сколько",
    f.STATE: "résultat|esito|stato|prova|provata|collaudo|resultado|estado|probada|stan|stan techniczny|sprawdzona|"
             "sprawność|wynik|stav|zkouška|výsledek|zkoušeno|состояние|проверка|проверена|годность|исправность",
    f.READING: "lecture|relevé|gemeten|uitslag|lettura|misura|misure|emissione|pendenza|trasconduttanza|lectura|"
               "medida|emisión|pomiar|pomiary|odczyt|emisja|nachylenie|wynik pomiaru|měření|naměřeno|emise|strmost|"
               "změřeno|naměřená hodnota|показания|показание|крутизна|эмиссия|измерение|измерено|замер",
    f.MINIMUM: "minimo|soglia|scarto|mínimo|umbral|minimalna|granica|próg|minimální|mez|минимум|мин|не менее|порог",
    f.INSTRUMENT: "meetapparaat|buismeter|provavalvole|strumento|misurato con|provato con|probador|medido con|miernik|"
                  "przyrząd|tester lamp|zmierzono na|zkoušeč|zkoušečka|měřič|přístroj|měřeno na|zkoušeč elektronek|"
                  "прибор|тестер|испытатель|испытатель ламп|измеритель",
    f.TESTED_ON: "date du test|mesuré le|date de mesure|meetdatum|gemeten op|data prova|provato il|data misura|"
                 "misurato il|fecha de prueba|data testu|data pomiaru|data sprawdzenia|datum měření|datum testu|"
                 "datum zkoušky|měřeno dne|дата проверки|дата измерения|проверено",
    f.PLACE: "étagère|rangement|armoire|carton|casier|où|kast|plank|lade|vak|opslag|waar|posizione|luogo|scatola|"
             "scaffale|cassetto|ripiano|ubicazione|dove|armadio|collocazione|caja|estante|cajón|ubicación|lugar|"
             "miejsce|pudełko|pudło|półka|szuflada|szafa|lokalizacja|gdzie|regał|místo|krabice|police|šuplík|skříň|"
             "zásuvka|umístění|kde|место|коробка|полка|ящик|шкаф|место хранения|где|стеллаж",
    f.PRICE: "prix d'achat|coût|payé|aankoopprijs|inkoopprijs|per stuk|prezzo|costo|pagato|prezzo pagato|"
             "prezzo d'acquisto|prezzo di acquisto|precio|coste|pagado|cena|koszt|zapłacono|cena zakupu|kupní cena|"
             "zaplaceno|pořizovací cena|цена|стоимость|заплачено|цена покупки",
    f.ASKED: "prezzo richiesto|prezzo di vendita|precio de venta|cena sprzedaży|cena wywoławcza|prodejní cena|"
             "цена продажи",
    f.MAKER: "jan code|jan maker|maker code|mfr code|manufacturer code|constructeur|producent|"
             "marca|marka|марка|produttore|fabbricante|"
             "costruttore|ditta|fabricante|firma|wytwórca|fabryka|výrobce|značka|изготовитель|"
             "производитель|завод|фирма",
    f.DATE_CODE: "date de fabrication|année|millésime|année de fabrication|productiejaar|jaar|anno|codice data|"
                 "data codice|anno di produzione|data di fabbricazione|año|año de fabricación|rok|rok produkcji|"
                 "kod daty|rocznik|rok výroby|datum výroby|datový kód|год|год выпуска|дата выпуска|дата изготовления",
    f.SERIAL: "n série|n° de série|serienr|fabrieksnummer|matricola|numero di serie|n di serie|seriale|"
              "número de serie|numer seryjny|nr seryjny|nr fabryczny|numer fabryczny|výrobní číslo|sériové číslo|"
              "výr č|ser č|серийный номер|заводской номер|зав №|зав номер|сер номер",
    f.MODEL: "matériel|poste|libellé|modello|apparecchio|apparato|articolo|descrizione|oggetto|modelo|aparato|equipo|"
             "descripción|urządzenie|sprzęt|nazwa|opis|przedmiot|zařízení|název|popis|předmět|модель|изделие|аппарат|"
             "наименование|название|описание",
    f.CONDITION: "nos/used|used/nos|nos / used|new/used|new / used|new or used|neu/gebraucht|neuf/occasion|"
                 "nuovo/usato|nieuw/gebruikt|nowa/używana|nové/použité|aspect|défauts|apparence|condizione|condizioni|"
                 "aspetto|difetti|condición|aspecto|wygląd|wady|uszkodzenia|vzhled|vady|závady|внешний вид|дефекты",
    f.NOTE: "observation|observations|notities|bijzonderheden|nota|osservazioni|commento|commenti|annotazioni|notas|"
            "observaciones|uwagi|uwaga|notatki|komentarz|poznámka|poznámky|pozn|komentář|примечание|примечания|"
            "заметки|комментарий|прим",
    f.FROM: "acheté chez|acheté auprès de|origine|fournisseur|gekocht van|gekocht bij|bron|leverancier|provenienza|"
            "venditore|acquistato da|acquistato presso|comprato da|comprato presso|preso da|fornitore|fonte|"
            "procedencia|vendedor|proveedor|comprado a|comprado en|comprado de|źródło|od kogo|sprzedawca|kupione od|"
            "kupiono od|kupione u|kupiono u|dostawca|pochodzenie|skąd|od koho|prodejce|zdroj|původ|koupeno od|"
            "koupeno u|zakoupeno od|zakoupeno u|dodavatel|odkud|откуда|от кого|у кого|куплено у|куплено в|где куплено|"
            "у кого куплено|приобретено у|получено от|продавец|поставщик|источник",
    f.ACQUIRED_ON: "date d'acquisition|acquis le|datum aankoop|gekocht|data acquisto|acquistato il|data di acquisto|"
                   "comprato il|fecha de compra|data zakupu|kupione|kupiono|data nabycia|nabyto|datum nákupu|koupeno|"
                   "zakoupeno|pořízeno|datum pořízení|дата покупки|куплено|когда куплено|приобретено|дата приобретения",
    f.INSURED: "valeur|estimation|valore assicurato|stima|valor asegurado|wartość|wartość ubezpieczenia|wycena|"
               "pojistná hodnota|odhad|страховая стоимость|оценка",
    f.KIND: "genre|famille|categoria|genere|gruppo|categoría|rodzaj|kategoria|grupa|druh|skupina|категория|род|группа",
    f.NUMBER: "n° inventaire|numéro d'inventaire|no inventaire|volgnummer|inventarisnummer|n ordine|inventario|"
              "n inventario|numer|lp|nr inw|numer inwentarzowy|nr inwentarzowy|číslo|pořadí|inv č|inventární číslo|"
              "poř č|№|номер|№ п/п|п/п|инв №|инвентарный номер",
    f.OWN_NUMBER: "meine nr|meine nummer|mon numéro|mon n°|mijn nummer|mijn nr|mio numero|mi número|mój numer|mój nr|"
                  "numer własny|nr własny|moje číslo|vlastní číslo|мой номер|мой №",
    f.WANTED: "à trouver|recherché|recherche|manque|gewenst|zoek|cerco|cercasi|mancano|servono|busco|necesito|"
              "potrzebne|szukam|poszukiwane|brakuje|potřebuji|hledám|chybí|sháním|нужно|ищу|требуется|надо",
    f.USED: "en service|in gebruik|usate|usati|in uso|usadas|używane|w użyciu|použité|použito|v provozu|б/у|в работе",
    f.FOR_SET: "utilisé sur|past in|per apparato|usata in|impiego|para equipo|do urządzenia|zastosowanie|do czego|"
               "pro přístroj|použití|для прибора|применение|для чего",
    f.DATED: "date|data|fecha|дата",
}  # fmt: skip


def all_words() -> Iterator[tuple[str, str]]:
    """(heading, field) of each; a heading that stands twice is of the first."""
    for table in (_WORDS, _MORE):
        for field, words in table.items():
            for word in words.split("|"):
                yield word, field
