"""How people head the sheets of bench samples and germination tests, in English, French and Spanish.

Headings are trade words and common practice, no source; further ones are added here as they are met.
"""

from inventory.importing.fields import Field, Reads, Vocabulary
from inventory.importing.fields import field_named as field
from inventory.importing.vocabulary import REMARKS, date_field, lot_field

MOST_REPLICATES = 8


def _dish(name: str, english: str, french: str, spanish: str, says: str = "") -> Field:
    return field(name, english, french, spanish, Reads.MASS_OR_SHARE, unit="g", example="2.4", says=says)


SAMPLES = Vocabulary(
    "samples",
    "samples",
    (
        field(
            "sample",
            "Sample|Sample number|Sample no|Sample id",
            "Échantillon|Numéro d'échantillon|No d'échantillon",
            "Muestra|Número de muestra|No de muestra",
            Reads.CODE,
            example="G01",
            says="The sample's name on its tag.",
        ),
        date_field("|Sampled|Sample date|Graded", "|Date d'échantillonnage|Prélevé le", "|Fecha de muestra|Muestreado"),
        lot_field(needed=True),
        field(
            "portion",
            "Portion|Portion weight|Working portion|Cleaned|Cleaned weight",
            "Prise d'essai|Portion|Poids nettoyé",
            "Porción|Porción de trabajo|Peso limpio",
            Reads.MASS,
            needed=True,
            unit="g",
            example="500.3",
            says="The cleaned weight that was picked.",
        ),
        _dish("splits", "Splits|Split", "Fendus|Haricots fendus", "Partidos|Partido", "Split beans."),
        _dish("damaged", "Damaged|Damage", "Endommagés|Avariés", "Dañados|Daño", "Damaged beans."),
        _dish(
            "other_foreign_material",
            "Foreign material|FM|Other foreign material|Foreign matter",
            "Matières étrangères|Corps étrangers",
            "Materia extraña|Materias extrañas",
            "Foreign material without the stones.",
        ),
        _dish("stones", "Stones|Stone", "Pierres|Cailloux", "Piedras|Piedra", "Stones."),
        _dish(
            "contrasting_classes",
            "Contrasting|Contrasting classes|Contrast",
            "Classes contrastantes|Contrastants",
            "Clases contrastantes|Contrastantes",
            "Beans of contrasting classes.",
        ),
        _dish(
            "classes_that_blend",
            "Blend|Classes that blend|Blending classes|Blending",
            "Classes qui se mélangent|Mélange",
            "Clases que se mezclan|Mezcla",
            "Beans of classes that blend.",
        ),
        _dish(
            "sound",
            "Sound|Sound beans|Good",
            "Sains|Haricots sains",
            "Sanos|Frijoles sanos",
            "What is left in the pan.",
        ),
        field(
            "gross",
            "Gross|Uncleaned|Gross/uncleaned|Gross weight|Uncleaned weight",
            "Brut|Non nettoyé|Poids brut",
            "Bruto|Sin limpiar|Peso bruto",
            Reads.MASS,
            unit="g",
            example="1000",
            says="The weight before dockage was taken off.",
        ),
        _dish(
            "dockage", "Dockage|Dockage removed", "Impuretés|Déchets", "Impurezas|Merma", "What the sieves took off."
        ),
        field(
            "points",
            "Points|Probe points|Probes|No of points",
            "Points|Points de sonde",
            "Puntos|Puntos de sonda",
            Reads.COUNT,
            example="8",
            says="How many points of the lot were probed.",
        ),
        field(
            "scheme",
            "Stands in|Scheme|Sampling scheme|Stood in",
            "En|Plan d'échantillonnage",
            "En qué|Plan de muestreo",
            Reads.CODE,
            example="totes",
            says="What the lot stands in, which says how many points are asked: bins, totes or bags.",
        ),
        field(
            "file_sample_of",
            "File sample of|File sample|Re-grade of",
            "Échantillon témoin de|Reclassement de",
            "Muestra de archivo de|Nueva clasificación de",
            Reads.CODE,
            example="G03",
            says="The sample whose kept part was picked again; no seed is taken for it.",
        ),
        field(
            "grader",
            "Grader|Graded by|Analyst",
            "Classeur|Analyste",
            "Clasificador|Analista",
            Reads.CODE,
            example="bench-1",
        ),
        field(
            "seed_weight",
            "100-seed weight|100 seed weight|Hundred seed weight|Seed weight|100 seeds",
            "Poids de 100 grains|Poids de 100 graines",
            "Peso de 100 semillas|Peso de 100 granos",
            Reads.MASS,
            unit="g",
            example="18.2",
            says="The weight of 100 seeds.",
        ),
        field(
            "taken",
            "Taken|Mass taken|Kg taken|Sample weight",
            "Prélevé|Masse prélevée",
            "Tomado|Peso tomado",
            Reads.MASS,
            unit="kg",
            example="2",
            says="What the sample took out of the lot.",
        ),
        REMARKS,
    ),
)


def _replicate(number: int) -> Field:
    marks = ("Rep {0}", "R{0}", "R {0}", "Replicate {0}", "Normal {0}", "Normals {0}", "{0}")
    return field(
        f"rep_{number}",
        "|".join(marks).format(number),
        "|".join(("Rép {0}", "Répétition {0}", "Normales {0}")).format(number),
        "|".join(("Rep {0}", "Repetición {0}", "Normales {0}")).format(number),
        Reads.COUNT,
        needed=number == 1,
        example="94",
        says=f"Normal seedlings of replicate {number}.",
    )


GERMINATION = Vocabulary(
    "germination",
    "germination tests",
    (
        field(
            "test",
            "Test|Test number|Test no|Test id",
            "Essai|Numéro d'essai|Analyse",
            "Ensayo|Prueba|Número de prueba",
            Reads.CODE,
            example="T01",
            says="The test's name.",
        ),
        date_field("|Test date|Date tested|Tested", "|Date d'essai|Date d'analyse", "|Fecha de ensayo|Fecha de prueba"),
        lot_field(needed=True),
        *(_replicate(number) for number in range(1, MOST_REPLICATES + 1)),
        field(
            "seeds",
            "Seeds|Seeds per replicate|Seeds per rep|Seeds each",
            "Graines|Graines par répétition|Semences par répétition",
            "Semillas|Semillas por repetición",
            Reads.COUNT,
            example="100",
            says="Seeds in each replicate.",
        ),
        field(
            "taken",
            "Taken|Mass taken|Kg taken|Seed taken|Seed used",
            "Prélevé|Masse prélevée|Semence prélevée",
            "Tomado|Peso tomado|Semilla tomada",
            Reads.MASS,
            unit="kg",
            example="0.3",
            says="What the test took out of the lot.",
        ),
        field(
            "bag",
            "Bag|Bag number|From bag",
            "Sac|Numéro de sac",
            "Bolsa|Saco|Número de bolsa",
            Reads.CODE,
            example="24",
            says="The bag that the seeds were taken from, where the lot is in bags.",
        ),
        field(
            "analyst",
            "Analyst|Tested by|Counted by",
            "Analyste|Compté par",
            "Analista|Contado por",
            Reads.CODE,
            example="bench-2",
        ),
        REMARKS,
    ),
)

ALL: tuple[Vocabulary, ...] = (SAMPLES, GERMINATION)
