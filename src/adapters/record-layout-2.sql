-- Layout 2: pick-up is a measured number, per tissue, method and coat.

CREATE TABLE pickup (
  row INTEGER PRIMARY KEY, id INTEGER NOT NULL,
  replaces INTEGER UNIQUE REFERENCES pickup(row),
  withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
  entry INTEGER NOT NULL REFERENCES entry(row),
  "tissue" INTEGER NOT NULL REFERENCES tissue(row),
  "method" TEXT NOT NULL CHECK ("method" IN ('bath', 'brush')),
  "coat" INTEGER,
  "ml_m2" REAL NOT NULL,
  "sd_ml_m2" REAL,
  "weighed" INTEGER,
  "measured" TEXT,
  "note" TEXT,
  CHECK ((replaces IS NULL) = (id = row))
) STRICT;
CREATE INDEX pickup_tissue ON pickup("tissue");
