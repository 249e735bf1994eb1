"""How people head the sheets of deliveries, cleaning runs and plots, in English, French and Spanish.

Headings are trade words and common practice, no source; further ones are added here as they are met.
"""

from hilum.plugins.facts import SheetKind
from inventory.importing.fields import Field, Reads, Vocabulary
from inventory.importing.fields import field_named as field

REMARKS = field(
    "remarks",
    "Remarks|Notes|Comment|Observation|Remarks and notes",
    "Remarques|Notes|Commentaire|Observations",
    "Observaciones|Notas|Comentario|Comentarios",
    Reads.TEXT,
    says="Anything worth keeping; it is not read as a number.",
)


def date_field(more: str = "", french: str = "", spanish: str = "", says: str = "") -> Field:
    """Give the date column that every list has, with a kind's own words for it."""
    return field(
        "date",
        "Date|Day" + more,
        "Date|Jour" + french,
        "Fecha|Día" + spanish,
        Reads.DATE,
        needed=True,
        example="2024-09-24",
        says=says or "The day it happened, best as year-month-day.",
    )


def lot_field(*, needed: bool) -> Field:
    """Give the lot column."""
    return field(
        "lot",
        "Lot|Lot number|Lot no|Lot nr|Lot id|Lot code|Seed lot",
        "Lot|Numéro de lot|No de lot|N° lot|Lot de semence",
        "Lote|Número de lote|No de lote|N° lote|Lote de semilla",
        Reads.CODE,
        needed=needed,
        example="24-0001-5",
        says="The lot's number; without its check digit it is completed.",
    )


INTAKE = Vocabulary(
    "intake",
    "intake (deliveries)",
    (
        date_field(
            "|Date received|Received|Received on|Delivery date|Intake date|Date in",
            "|Date de réception|Reçu le|Date de livraison|Date d'entrée",
            "|Fecha de recepción|Recibido|Fecha de entrega|Fecha de entrada",
        ),
        lot_field(needed=False),
        field(
            "line",
            "Line|Variety|Breeding line|Line name|Entry",
            "Lignée|Variété|Nom de lignée|Entrée",
            "Línea|Variedad|Nombre de línea|Entrada",
            Reads.CODE,
            example="QN-2104",
            says="The breeding line or variety as it is registered.",
        ),
        field(
            "plot",
            "Plot|Block|Plot code|Plot number|Plot no|Plot id|Plot or block|Field plot",
            "Parcelle|Bloc|Code de parcelle|Numéro de parcelle",
            "Parcela|Bloque|Código de parcela|Número de parcela",
            Reads.CODE,
            example="QM24-I1",
            says="Where it grew; several plots of one bag with / between them.",
        ),
        field(
            "gross",
            "Gross|Gross weight|Gross wt|Gross mass|Weight full|Full weight",
            "Brut|Poids brut|Masse brute|Poids plein",
            "Bruto|Peso bruto|Masa bruta|Peso lleno",
            Reads.MASS,
            unit="kg",
            example="842",
            says="What the scale showed, container and all.",
        ),
        field(
            "tare",
            "Tare|Tare weight|Tare wt|Container weight|Weight empty|Empty weight",
            "Tare|Poids tare|Poids à vide|Poids vide",
            "Tara|Peso tara|Peso vacío",
            Reads.MASS,
            unit="kg",
            example="42",
            says="The weight of the empty container.",
        ),
        field(
            "net",
            "Net|Net weight|Net wt|Net mass|Weight|Seed weight",
            "Net|Poids net|Masse nette|Poids",
            "Neto|Peso neto|Masa neta|Peso",
            Reads.MASS,
            unit="kg",
            example="800",
            says="Gross less tare.",
        ),
        field(
            "moisture",
            "Moist|Moisture|Moisture content|MC|Water content",
            "Humidité|Teneur en eau|Taux d'humidité|Eau",
            "Humedad|Contenido de humedad|Contenido de agua",
            Reads.MOISTURE,
            unit="%",
            example="16.2",
            says="Moisture on wet basis, from the meter's chart for this class.",
        ),
        field(
            "place",
            "Bin|Place|Location|Stored in|Stored at|Bay|Rack|Put in",
            "Emplacement|Lieu|Place|Bac|Cellule|Case",
            "Ubicación|Lugar|Silo|Caja|Depósito",
            Reads.CODE,
            example="F-1",
            says="Where it stands.",
        ),
        field(
            "unit",
            "Unit|Units|Weight unit|Unit of weight",
            "Unité|Unité de poids",
            "Unidad|Unidad de peso",
            Reads.CODE,
            example="kg",
            says="The unit of this row's weights, where rows differ.",
        ),
        field(
            "harvested",
            "Harvested|Harvest date|Date harvested|Cut",
            "Récolté|Date de récolte|Récolté le",
            "Cosechado|Fecha de cosecha|Cosecha",
            Reads.DATE,
            example="2024-09-23",
            says="The day it was harvested.",
        ),
        REMARKS,
    ),
    one_of=(("net", "gross"), ("line", "plot")),
)


def _spout(name: str, english: str, french: str, spanish: str, says: str) -> Field:
    return field(name, english, french, spanish, Reads.MASS, unit="kg", example="9.4", says=says)


def _output(number: int) -> tuple[Field, Field, Field]:
    """Give the columns of one lot that comes out; the first bears no number."""
    mark, tail = (f" {number}", f"_{number}") if number > 1 else ("", "")
    return (
        field(
            f"out_lot{tail}",
            f"Out lot{mark}|Clean lot{mark}|Output lot{mark}|New lot{mark}|Lot out{mark}|Lot made{mark}",
            f"Lot sortie{mark}|Lot sortant{mark}|Nouveau lot{mark}|Lot propre{mark}|Lot obtenu{mark}",
            f"Lote salida{mark}|Lote de salida{mark}|Nuevo lote{mark}|Lote limpio{mark}",
            Reads.CODE,
            example="24-0014-0",
            says="The number of the lot that came out.",
        ),
        field(
            f"clean{tail}",
            f"Clean{mark}|Clean seed{mark}|Clean weight{mark}|Out{mark}|Clean out weight{mark}",
            f"Propre{mark}|Semence propre{mark}|Poids propre{mark}|Nettoyé{mark}",
            f"Limpio{mark}|Semilla limpia{mark}|Peso limpio{mark}",
            Reads.MASS,
            needed=number == 1,
            unit="kg",
            example="741.2",
            says="What came out clean.",
        ),
        field(
            f"place{tail}",
            f"Bin{mark}|Place{mark}|Location{mark}|Stored in{mark}|Stored at{mark}|Bay{mark}|Rack{mark}|Put in{mark}",
            f"Emplacement{mark}|Lieu{mark}|Place{mark}|Bac{mark}|Cellule{mark}|Case{mark}",
            f"Ubicación{mark}|Lugar{mark}|Silo{mark}|Caja{mark}|Depósito{mark}",
            Reads.CODE,
            example="A-01",
            says="Where the clean seed stands; empty is the end of the line.",
        ),
    )


RUNS = Vocabulary(
    "runs",
    "cleaning runs",
    (
        field(
            "run",
            "Run|Run number|Run no|Run id",
            "Passage|Numéro de passage|No de passage",
            "Pasada|Corrida|Número de pasada",
            Reads.CODE,
            example="R01",
            says="The run's name; a run of several out lots may take a row for each, under the same name.",
        ),
        date_field("|Run date|Date of run", "|Date du passage", "|Fecha de pasada"),
        field(
            "machine",
            "Machine|Machines|What|Equipment|Operation|Stage",
            "Machine|Appareil|Équipement|Étape",
            "Máquina|Equipo|Etapa",
            Reads.TEXT,
            example="air-screen",
            says="Air-screen, gravity, sizing, hand-pick …; several with + between them.",
        ),
        field(
            "feed_lot",
            "Feed lot|Lot fed|Lot in|In lot|Input lot|From lot",
            "Lot entrée|Lot d'entrée|Lot entrant|Lot alimenté",
            "Lote entrada|Lote de entrada|Lote alimentado",
            Reads.CODE,
            needed=True,
            example="24-0001-5",
            says="The lot that was fed.",
        ),
        field(
            "feed",
            "Feed|Feed weight|Fed|In|Input|Weight in",
            "Alimentation|Entrée|Poids entrée|Poids d'entrée",
            "Alimentación|Entrada|Peso entrada|Peso de entrada",
            Reads.MASS,
            needed=True,
            unit="kg",
            example="798",
            says="What was fed.",
        ),
        *_output(1),
        *_output(2),
        *_output(3),
        *_output(4),
        _spout(
            "scalp", "Scalp|Scalpings|Overs", "Gros déchets|Émottage|Refus", "Despaje|Gruesos", "Over the top screen."
        ),
        _spout(
            "through",
            "Through|Throughs|Screenings|Unders",
            "Criblures|Passant",
            "Granza|Cernido|Finos",
            "Through the bottom.",
        ),
        _spout("air", "Air|Liftings|Aspirations|Air liftings", "Air|Aspiration", "Aire|Aspirado", "Lifted by the air."),
        _spout("lights", "Lights|Light", "Légers|Légères", "Livianos|Livianas", "The light end of the gravity table."),
        _spout("middlings", "Middlings|Mids", "Mixtes|Intermédiaires", "Medios|Intermedios", "Returned to feed store."),
        _spout(
            "stones", "Stones|Stone", "Pierres|Cailloux", "Piedras", "Out of the destoner or the table's heavy end."
        ),
        _spout(
            "picked", "Picked|Picked off|Hand picked|Pickings", "Trié|Trié à la main", "Escogido|A mano", "By hand."
        ),
        _spout(
            "unaccounted",
            "Unaccounted|Missing|Loss|Unaccounted for|Dust",
            "Non retrouvé|Manquant|Perte",
            "Sin explicar|Faltante|Pérdida",
            "Only compared: it is computed from the rest.",
        ),
        field(
            "clean_out",
            "Clean-out|Cleaned out|Line clean|Clean-out done",
            "Vide de ligne|Ligne nettoyée",
            "Limpieza de línea|Línea limpia",
            Reads.TEXT,
            example="yes",
            says="Was the line cleaned before this lot?",
        ),
        field(
            "screens",
            "Screens|Screen|Sieves",
            "Grilles|Tamis",
            "Zarandas|Cribas",
            Reads.TEXT,
            example="18/64 round, 10/64 slotted",
            says="Top and bottom screens.",
        ),
        field(
            "unit", "Unit|Units|Weight unit", "Unité|Unité de poids", "Unidad|Unidad de peso", Reads.CODE, example="kg"
        ),
        REMARKS,
    ),
)

PLOTS = Vocabulary(
    "plots",
    "plots",
    (
        field(
            "plot",
            "Plot|Block|Plot code|Plot number|Plot no|Plot id|Plot or block",
            "Parcelle|Bloc|Code de parcelle|Numéro de parcelle",
            "Parcela|Bloque|Código de parcela|Número de parcela",
            Reads.CODE,
            needed=True,
            example="QM24-T101",
            says="The plot's code.",
        ),
        field(
            "line",
            "Line|Variety|Breeding line|Line name|Entry",
            "Lignée|Variété|Entrée",
            "Línea|Variedad|Entrada",
            Reads.CODE,
            needed=True,
            example="QN-2104",
            says="What grows on it.",
        ),
        field("site", "Site|Farm|Field", "Site|Ferme|Champ", "Sitio|Finca|Campo", Reads.CODE, example="QM"),
        field(
            "season",
            "Season|Year|Crop year",
            "Saison|Année|Campagne",
            "Temporada|Año|Campaña",
            Reads.CODE,
            example="2024",
        ),
        field(
            "trial", "Trial|Experiment|Nursery", "Essai|Expérience", "Ensayo|Experimento", Reads.CODE, example="QM24-T"
        ),
        field("rep", "Rep|Replicate|Replication", "Rép|Répétition", "Rep|Repetición", Reads.COUNT, example="1"),
        field("position", "Position|Pos|Column", "Position|Colonne", "Posición|Columna", Reads.COUNT, example="1"),
        field(
            "sown",
            "Sown|Sown on|Sowing date|Date sown|Planted|Planting date",
            "Semé|Semé le|Date de semis|Semis",
            "Sembrado|Fecha de siembra|Siembra",
            Reads.DATE,
            example="2024-05-21",
            says="The day it was sown.",
        ),
        field(
            "sown_kg",
            "Sown mass|Sown weight|Sown|Seed sown|Seed used",
            "Masse semée|Semé|Semence utilisée",
            "Peso sembrado|Sembrado|Semilla usada",
            Reads.MASS,
            unit="kg",
            example="0.1",
            says="The seed that was sown.",
        ),
        field(
            "sown_from",
            "Sown from|Seed lot|From lot|Sown with",
            "Semé de|Lot semé|Lot de semence",
            "Sembrado de|Lote sembrado|Lote de semilla",
            Reads.CODE,
            example="24-0017-9",
            says="The lot it was sown from; empty for breeder seed from before.",
        ),
        field(
            "area",
            "Area|Plot area|Size|Plot size",
            "Surface|Superficie",
            "Superficie|Área",
            Reads.AREA,
            unit="m2",
            example="14.4",
            says="The plot's area.",
        ),
        field("generation", "Generation|Gen", "Génération|Gén", "Generación|Gen", Reads.CODE, example="F8"),
        field(
            "field_weight",
            "Field weight|Plot weight|Yield|Harvest weight|Field estimate",
            "Poids au champ|Poids parcelle|Rendement|Poids récolté",
            "Peso de campo|Peso parcela|Rendimiento|Peso cosechado",
            Reads.MASS,
            unit="kg",
            example="4.21",
            says="What the plot weighed in the field.",
        ),
        field(
            "harvested",
            "Harvested|Harvest date|Date harvested",
            "Récolté|Date de récolte",
            "Cosechado|Fecha de cosecha",
            Reads.DATE,
            example="2024-09-30",
        ),
        REMARKS,
    ),
)

WEATHER = Vocabulary(
    "weather",
    "daily temperatures",
    (
        date_field(),
        field(
            "site",
            "Site|Farm|Field|Station",
            "Site|Ferme|Champ",
            "Sitio|Finca|Campo",
            Reads.CODE,
            needed=True,
            example="QM",
        ),
        field(
            "low",
            "Low|Lowest|Min|Minimum|Tmin|Minimum temperature|Min temp",
            "Min|Minimum|Tmin|Température minimale",
            "Mín|Mínima|Tmín|Temperatura mínima",
            Reads.NUMBER,
            needed=True,
            example="11.2",
            says="The day's lowest temperature.",
        ),
        field(
            "high",
            "High|Highest|Max|Maximum|Tmax|Maximum temperature|Max temp",
            "Max|Maximum|Tmax|Température maximale",
            "Máx|Máxima|Tmáx|Temperatura máxima",
            Reads.NUMBER,
            needed=True,
            example="24.6",
            says="The day's highest temperature.",
        ),
        field(
            "unit",
            "Unit|Scale|Degrees",
            "Unité|Échelle|Degrés",
            "Unidad|Escala|Grados",
            Reads.TEXT,
            example="C",
            says="C or F; empty is C.",
        ),
        REMARKS,
    ),
)

ALL: tuple[Vocabulary, ...] = (INTAKE, RUNS, PLOTS, WEATHER)


def vocabulary_of(kind: SheetKind) -> Vocabulary:
    """Read a plugin's kind of sheet as a vocabulary; its headings are of any language."""
    fields = tuple(
        Field(column.name, column.headings, (), (), Reads(column.reads), column.required, says=column.help)
        for column in kind.columns
    )
    return Vocabulary(kind.name, kind.title, fields)
