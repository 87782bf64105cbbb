-- Layout 3: the treatment around the colour (what was tested, what is owed, how it ended), what
-- makes photographs and swatches comparable, and seals: each entry holds the hash of the one
-- before it with its rows (DEVELOPERS.md says how).

ALTER TABLE entry ADD COLUMN seal TEXT
  CHECK (seal NOT GLOB '*[^0-9a-f]*' AND length(seal) = 64);

-- One row: which record this is, and where its seals begin. found_entries counts those that were
-- there without a seal, found_seal is the seal that the last of them would have passed on.
CREATE TABLE origin (
  row INTEGER PRIMARY KEY CHECK (row = 1),
  id TEXT NOT NULL CHECK (id NOT GLOB '*[^0-9a-f]*' AND length(id) = 32),
  found_entries INTEGER NOT NULL CHECK (found_entries >= 0),
  found_seal TEXT NOT NULL CHECK (found_seal NOT GLOB '*[^0-9a-f]*' AND length(found_seal) = 64)
) STRICT;

CREATE TRIGGER entry_sealed BEFORE INSERT ON entry
  WHEN NEW.seal IS NULL AND EXISTS (SELECT 1 FROM origin)
  BEGIN SELECT RAISE(ABORT, 'an entry holds the seal of the one before it'); END;

ALTER TABLE sheet ADD COLUMN "sizing" TEXT;
ALTER TABLE sheet ADD COLUMN "stamps" TEXT;
ALTER TABLE sheet ADD COLUMN "shown_over" TEXT;
ALTER TABLE sheet ADD COLUMN "shown_under" INTEGER REFERENCES lamp(row);
ALTER TABLE sheet ADD COLUMN "viewing_distance_cm" REAL;
ALTER TABLE sheet ADD COLUMN "seen_against_light" TEXT CHECK ("seen_against_light" IN ('yes', 'no'));
CREATE INDEX sheet_shown_under ON sheet("shown_under");

ALTER TABLE photograph ADD COLUMN "lighting" TEXT
  CHECK ("lighting" IN ('even', 'raking', 'transmitted', 'ultraviolet', 'infrared'));
ALTER TABLE photograph ADD COLUMN "camera" TEXT;
ALTER TABLE photograph ADD COLUMN "target" TEXT;
ALTER TABLE photograph ADD COLUMN "exposure" TEXT;

ALTER TABLE loss ADD COLUMN "media_near" TEXT;
ALTER TABLE loss ADD COLUMN "ended" TEXT CHECK ("ended" IN ('filled', 'left alone'));
ALTER TABLE loss ADD COLUMN "ended_why" TEXT;

ALTER TABLE instrument ADD COLUMN "repeatability_de00" REAL;
ALTER TABLE instrument ADD COLUMN "lab_light" TEXT;
ALTER TABLE instrument ADD COLUMN "lab_observer_deg" INTEGER CHECK ("lab_observer_deg" IN (2, 10));

ALTER TABLE lamp ADD COLUMN "lux_hours_year" REAL;

ALTER TABLE colorant ADD COLUMN "blue_wool" INTEGER CHECK ("blue_wool" BETWEEN 1 AND 8);
ALTER TABLE colorant ADD COLUMN "light_fastness" TEXT;

ALTER TABLE computation ADD COLUMN "method" TEXT;

ALTER TABLE tissue ADD COLUMN "thickness" TEXT;
ALTER TABLE tissue ADD COLUMN "texture" TEXT;
ALTER TABLE tissue ADD COLUMN "grain" TEXT;
ALTER TABLE tissue ADD COLUMN "sheen" TEXT;
ALTER TABLE tissue ADD COLUMN "drape" TEXT;

ALTER TABLE fill ADD COLUMN "carried_out" TEXT;
ALTER TABLE fill ADD COLUMN "carried_out_by" TEXT;
ALTER TABLE fill ADD COLUMN "over" TEXT;
ALTER TABLE fill ADD COLUMN "comes_off" TEXT;
ALTER TABLE fill ADD COLUMN "edge" TEXT;
ALTER TABLE fill ADD COLUMN "overlap_mm" REAL;

CREATE TABLE spot_test (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES spot_test(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "tested" TEXT NOT NULL,
  "liquid" TEXT NOT NULL,
  "place" TEXT,
  "outcome" TEXT NOT NULL CHECK ("outcome" IN ('unchanged', 'changed', 'unsure')),
  "happened" TEXT,
  "made" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX spot_test_sheet ON spot_test("sheet");

CREATE TABLE step (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES step(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "sheet" INTEGER NOT NULL REFERENCES sheet(row),
  "loss" INTEGER REFERENCES loss(row),
  "name" TEXT NOT NULL,
  "standing" TEXT NOT NULL
    CHECK ("standing" IN ('owed', 'done', 'left open', 'barred', 'allowed')),
  "reason" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row)),
  CHECK ("standing" IN ('owed', 'done') OR "reason" IS NOT NULL)
) STRICT;
CREATE INDEX step_sheet ON step("sheet");
CREATE INDEX step_loss ON step("loss");
CREATE INDEX step_name ON step("name");

CREATE TABLE offcut (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES offcut(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "name" TEXT NOT NULL,
  "tissue" INTEGER NOT NULL REFERENCES tissue(row),
  "trial" INTEGER REFERENCES trial(row),
  "adhesive" TEXT NOT NULL,
  "pasted_on" TEXT NOT NULL,
  "plies" INTEGER,
  "made" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX offcut_tissue ON offcut("tissue");
CREATE INDEX offcut_trial ON offcut("trial");
CREATE INDEX offcut_name ON offcut("name");

ALTER TABLE reading ADD COLUMN "series" TEXT;
ALTER TABLE reading ADD COLUMN "bleeds" TEXT CHECK ("bleeds" IN ('yes', 'no'));
ALTER TABLE reading ADD COLUMN "offcut" INTEGER REFERENCES offcut(row);
ALTER TABLE reading ADD COLUMN "light_dose_lx_h" REAL;
CREATE INDEX reading_offcut ON reading("offcut");

ALTER TABLE mean ADD COLUMN "series" TEXT;
ALTER TABLE mean ADD COLUMN "bleeds" TEXT CHECK ("bleeds" IN ('yes', 'no'));
ALTER TABLE mean ADD COLUMN "offcut" INTEGER REFERENCES offcut(row);
ALTER TABLE mean ADD COLUMN "light_dose_lx_h" REAL;
CREATE INDEX mean_offcut ON mean("offcut");

-- What a seal covers is found by its entry.
CREATE INDEX sheet_entry ON sheet(entry);
CREATE INDEX photograph_entry ON photograph(entry);
CREATE INDEX spot_entry ON spot(entry);
CREATE INDEX loss_entry ON loss(entry);
CREATE INDEX instrument_entry ON instrument(entry);
CREATE INDEX lamp_entry ON lamp(entry);
CREATE INDEX colorant_entry ON colorant(entry);
CREATE INDEX dropper_entry ON dropper(entry);
CREATE INDEX stock_entry ON stock(entry);
CREATE INDEX file_entry ON file(entry);
CREATE INDEX computation_entry ON computation(entry);
CREATE INDEX recipe_entry ON recipe(entry);
CREATE INDEX tissue_entry ON tissue(entry);
CREATE INDEX pickup_entry ON pickup(entry);
CREATE INDEX trial_entry ON trial(entry);
CREATE INDEX fill_entry ON fill(entry);
CREATE INDEX bath_entry ON bath(entry);
CREATE INDEX reading_entry ON reading(entry);
CREATE INDEX mean_entry ON mean(entry);
CREATE INDEX note_entry ON note(entry);
CREATE INDEX spot_test_entry ON spot_test(entry);
CREATE INDEX step_entry ON step(entry);
CREATE INDEX offcut_entry ON offcut(entry);
