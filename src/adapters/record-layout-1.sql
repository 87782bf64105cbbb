-- Layout 1 of a treatment record. Never edit: a new layout is a new file, and a step from this one.
--
-- Every table but entry and kept_bytes holds one kind of thing. A thing is one row and its
-- corrections: `id` is the row number of its first row, `replaces` the row that this one corrects,
-- `withdrawn` says that it should not have been entered. What is current is what no row replaces.
-- Lists and maps are JSON; wavelengths are "first:step:last" in nm, or a JSON list.

CREATE TABLE entry (
  row INTEGER PRIMARY KEY,
  who TEXT NOT NULL CHECK (length(who) > 0),
  at TEXT NOT NULL CHECK (
    at GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z'),
  why TEXT NOT NULL DEFAULT '',
  program TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE kept_bytes (
  sha256 TEXT PRIMARY KEY CHECK (sha256 NOT GLOB '*[^0-9a-f]*' AND length(sha256) = 64),
  bytes BLOB NOT NULL
) STRICT;

CREATE TABLE sheet (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES sheet(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "object_id" TEXT,
  "description" TEXT,
  "support" TEXT,
  "media" TEXT,
  "width_mm" REAL,
  "height_mm" REAL,
  "grammage_g_m2" REAL,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX sheet_name ON sheet("name");

CREATE TABLE photograph (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES photograph(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "name" TEXT NOT NULL,
  "path" TEXT NOT NULL,
  "sha256" TEXT NOT NULL,
  "stage" TEXT,
  "side" TEXT CHECK ("side" IN ('front', 'back')),
  "width_px" INTEGER,
  "height_px" INTEGER,
  "light" TEXT,
  "profile" TEXT,
  "taken" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX photograph_sheet ON photograph("sheet");
CREATE INDEX photograph_name ON photograph("name");

CREATE TABLE spot (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES spot(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "name" TEXT NOT NULL,
  "place" TEXT,
  "template_name" TEXT,
  "side" TEXT CHECK ("side" IN ('front', 'back')),
  "photograph" INTEGER REFERENCES photograph(row),
  "outline" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX spot_sheet ON spot("sheet");
CREATE INDEX spot_photograph ON spot("photograph");
CREATE INDEX spot_name ON spot("name");

CREATE TABLE loss (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES loss(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "name" TEXT NOT NULL,
  "nature" TEXT NOT NULL CHECK ("nature" IN ('loss', 'tear')),
  "place" TEXT,
  "area_cm2" REAL,
  "photograph" INTEGER REFERENCES photograph(row),
  "outline" TEXT,
  "mask" INTEGER REFERENCES photograph(row),
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX loss_sheet ON loss("sheet");
CREATE INDEX loss_photograph ON loss("photograph");
CREATE INDEX loss_mask ON loss("mask");
CREATE INDEX loss_name ON loss("name");

CREATE TABLE instrument (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES instrument(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "serial" TEXT,
  "geometry" TEXT,
  "aperture_mm" REAL,
  "reproducibility_de00" REAL,
  "checked" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX instrument_name ON instrument("name");

CREATE TABLE lamp (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES lamp(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "place" TEXT,
  "power_nm" TEXT,
  "power" TEXT,
  "cct_k" REAL,
  "illuminance_lx" REAL,
  "uv_uw_lm" REAL,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX lamp_name ON lamp("name");

CREATE TABLE colorant (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES colorant(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "colour_index" TEXT,
  "medium" TEXT,
  "maker" TEXT,
  "lot" TEXT,
  "caution" TEXT,
  "excluded" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX colorant_name ON colorant("name");

CREATE TABLE dropper (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES dropper(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "drop_ml" REAL,
  "drop_sd_ml" REAL,
  "drops_weighed" INTEGER,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX dropper_name ON dropper("name");

CREATE TABLE stock (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES stock(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "dry_g_ml" TEXT,
  "dropper" INTEGER REFERENCES dropper(row),
  "made" TEXT,
  "lot" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX stock_dropper ON stock("dropper");
CREATE INDEX stock_name ON stock("name");

CREATE TABLE file (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES file(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "sha256" TEXT NOT NULL,
  "scale" TEXT CHECK ("scale" IN ('fraction', 'percent')),
  "warnings" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX file_name ON file("name");

CREATE TABLE computation (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES computation(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT,
  "verb" TEXT NOT NULL,
  "parameters" TEXT NOT NULL,
  "lights" TEXT,
  "inputs" TEXT,
  "tables" TEXT,
  "program" TEXT NOT NULL,
  "result" TEXT NOT NULL,
  "outcome" TEXT NOT NULL CHECK ("outcome" IN ('answered', 'no answer')),
  "sheet" INTEGER REFERENCES sheet(row),
  "loss" INTEGER REFERENCES loss(row),
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX computation_sheet ON computation("sheet");
CREATE INDEX computation_loss ON computation("loss");
CREATE INDEX computation_name ON computation("name");

CREATE TABLE recipe (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES recipe(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "loss" INTEGER REFERENCES loss(row),
  "tissue" INTEGER REFERENCES tissue(row),
  "computation" INTEGER REFERENCES computation(row),
  "number" INTEGER,
  "loads" TEXT,
  "load_unit" TEXT CHECK ("load_unit" IN ('g_m2', 'ml_m2', 'relative')),
  "application" TEXT CHECK ("application" IN ('absorbed', 'film')),
  "method" TEXT CHECK ("method" IN ('bath', 'brush')),
  "coats" INTEGER,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX recipe_loss ON recipe("loss");
CREATE INDEX recipe_tissue ON recipe("tissue");
CREATE INDEX recipe_computation ON recipe("computation");
CREATE INDEX recipe_name ON recipe("name");

CREATE TABLE tissue (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES tissue(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "lot" TEXT,
  "maker" TEXT,
  "fibre" TEXT,
  "grammage_g_m2" REAL,
  "left_cm2" REAL,
  "place" TEXT,
  "toned_from" INTEGER REFERENCES tissue(row),
  "recipe" INTEGER REFERENCES recipe(row),
  "state" TEXT CHECK ("state" IN ('dry', 'pasted', 'sized', 'wet')),
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX tissue_toned_from ON tissue("toned_from");
CREATE INDEX tissue_recipe ON tissue("recipe");
CREATE INDEX tissue_name ON tissue("name");

CREATE TABLE trial (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES trial(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "recipe" INTEGER NOT NULL REFERENCES recipe(row),
  "tissue" INTEGER REFERENCES tissue(row),
  "loads" TEXT,
  "load_unit" TEXT CHECK ("load_unit" IN ('g_m2', 'ml_m2', 'relative')),
  "coats" INTEGER,
  "made" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX trial_recipe ON trial("recipe");
CREATE INDEX trial_tissue ON trial("tissue");
CREATE INDEX trial_name ON trial("name");

CREATE TABLE fill (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES fill(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "loss" INTEGER NOT NULL REFERENCES loss(row),
  "name" TEXT NOT NULL,
  "tissue" INTEGER REFERENCES tissue(row),
  "recipe" INTEGER REFERENCES recipe(row),
  "computation" INTEGER REFERENCES computation(row),
  "plies" INTEGER,
  "use" TEXT CHECK ("use" IN ('loss', 'tear', 'lining')),
  "side" TEXT CHECK ("side" IN ('back', 'front')),
  "verdict" TEXT NOT NULL CHECK ("verdict" IN ('chosen', 'refused', 'considered')),
  "reasons" TEXT,
  "used_cm2" REAL,
  "adhesive" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX fill_loss ON fill("loss");
CREATE INDEX fill_tissue ON fill("tissue");
CREATE INDEX fill_recipe ON fill("recipe");
CREATE INDEX fill_computation ON fill("computation");
CREATE INDEX fill_name ON fill("name");

CREATE TABLE bath (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES bath(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "name" TEXT NOT NULL,
  "number" INTEGER,
  "water" TEXT,
  "minutes" REAL,
  "temperature_c" REAL,
  "ph" REAL,
  "conductivity_us_cm" REAL,
  "volume_l" REAL,
  "additive" TEXT,
  "given" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX bath_sheet ON bath("sheet");
CREATE INDEX bath_name ON bath("name");

CREATE TABLE reading (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES reading(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "repeat" TEXT,
  "role" TEXT,
  "quantity" TEXT,
  "backing" TEXT,
  "plies" INTEGER,
  "side" TEXT,
  "state" TEXT,
  "geometry" TEXT,
  "condition" TEXT,
  "instrument_name" TEXT,
  "aperture_mm" REAL,
  "lot" TEXT,
  "stock" TEXT,
  "grammage_g_m2" REAL,
  "loads" TEXT,
  "load_unit" TEXT,
  "wavelengths_nm" TEXT,
  "factor" TEXT,
  "lab_l" REAL,
  "lab_a" REAL,
  "lab_b" REAL,
  "lab_light" TEXT,
  "lab_observer_deg" INTEGER,
  "source_file" TEXT,
  "source_line" INTEGER,
  "source_column" INTEGER,
  "file" INTEGER REFERENCES file(row),
  "sheet" INTEGER REFERENCES sheet(row),
  "spot" INTEGER REFERENCES spot(row),
  "loss" INTEGER REFERENCES loss(row),
  "tissue" INTEGER REFERENCES tissue(row),
  "trial" INTEGER REFERENCES trial(row),
  "bath" INTEGER REFERENCES bath(row),
  "instrument" INTEGER REFERENCES instrument(row),
  "stage" TEXT,
  "operator_name" TEXT,
  "taken" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX reading_file ON reading("file");
CREATE INDEX reading_sheet ON reading("sheet");
CREATE INDEX reading_spot ON reading("spot");
CREATE INDEX reading_loss ON reading("loss");
CREATE INDEX reading_tissue ON reading("tissue");
CREATE INDEX reading_trial ON reading("trial");
CREATE INDEX reading_bath ON reading("bath");
CREATE INDEX reading_instrument ON reading("instrument");
CREATE INDEX reading_name ON reading("name");

CREATE TABLE mean (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES mean(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "repeat" TEXT,
  "role" TEXT,
  "quantity" TEXT,
  "backing" TEXT,
  "plies" INTEGER,
  "side" TEXT,
  "state" TEXT,
  "geometry" TEXT,
  "condition" TEXT,
  "instrument_name" TEXT,
  "aperture_mm" REAL,
  "lot" TEXT,
  "stock" TEXT,
  "grammage_g_m2" REAL,
  "loads" TEXT,
  "load_unit" TEXT,
  "wavelengths_nm" TEXT,
  "factor" TEXT,
  "lab_l" REAL,
  "lab_a" REAL,
  "lab_b" REAL,
  "lab_light" TEXT,
  "lab_observer_deg" INTEGER,
  "source_file" TEXT,
  "source_line" INTEGER,
  "source_column" INTEGER,
  "of" TEXT,
  "sheet" INTEGER REFERENCES sheet(row),
  "spot" INTEGER REFERENCES spot(row),
  "loss" INTEGER REFERENCES loss(row),
  "tissue" INTEGER REFERENCES tissue(row),
  "trial" INTEGER REFERENCES trial(row),
  "bath" INTEGER REFERENCES bath(row),
  "stage" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX mean_sheet ON mean("sheet");
CREATE INDEX mean_spot ON mean("spot");
CREATE INDEX mean_loss ON mean("loss");
CREATE INDEX mean_tissue ON mean("tissue");
CREATE INDEX mean_trial ON mean("trial");
CREATE INDEX mean_bath ON mean("bath");
CREATE INDEX mean_name ON mean("name");

CREATE TABLE note (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES note(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "text" TEXT NOT NULL,
  "sheet" INTEGER REFERENCES sheet(row),
  "spot" INTEGER REFERENCES spot(row),
  "loss" INTEGER REFERENCES loss(row),
  "tissue" INTEGER REFERENCES tissue(row),
  "recipe" INTEGER REFERENCES recipe(row),
  "trial" INTEGER REFERENCES trial(row),
  "fill" INTEGER REFERENCES fill(row),
  "photograph" INTEGER REFERENCES photograph(row),
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX note_sheet ON note("sheet");
CREATE INDEX note_spot ON note("spot");
CREATE INDEX note_loss ON note("loss");
CREATE INDEX note_tissue ON note("tissue");
CREATE INDEX note_recipe ON note("recipe");
CREATE INDEX note_trial ON note("trial");
CREATE INDEX note_fill ON note("fill");
CREATE INDEX note_photograph ON note("photograph");
