-- The catalogue: editions, and everything that one edition holds.
--
-- Every row below `editions` belongs to one edition and goes with it. A CHECK that names a range quotes a row of the
-- table of quantities (src/domain/units.rs); the comment behind it names that row, and a test compares the figures.
-- Money is a whole number of ten-thousandths; a figure with decimals in its own unit is REAL, everything else INTEGER.

CREATE TABLE editions (
    number       INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT CHECK (1 <= number AND number <= 4294967295),
    state        TEXT    NOT NULL CHECK (state IN ('draft', 'checked', 'published', 'retired')),
    created_at   TEXT    NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
    content_hash TEXT    NOT NULL CHECK (length(content_hash) = 64)
) STRICT;

-- One edition is sold from at a time.
CREATE UNIQUE INDEX editions_published ON editions (state) WHERE state = 'published';

CREATE TABLE finishes (
    edition INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    code    TEXT    NOT NULL CHECK (code <> ''),
    name    TEXT    NOT NULL,
    PRIMARY KEY (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE parts (
    edition   INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku       TEXT    NOT NULL CHECK (
        length(sku) <= 40 AND sku GLOB '[A-Z0-9]*' AND sku NOT GLOB '*[^A-Z0-9.-]*'
    ),
    kind      TEXT    NOT NULL CHECK (kind IN ('body', 'element', 'control', 'accessory')),
    name      TEXT    NOT NULL,
    gtin      TEXT,
    stock     TEXT    NOT NULL CHECK (stock IN ('in_stock', 'to_order', 'discontinued')),
    lead_days INTEGER NOT NULL CHECK (lead_days BETWEEN 0 AND 365), -- LEAD_DAYS
    evidence  TEXT    NOT NULL CHECK (
        evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, sku),
    UNIQUE (edition, sku, kind)
) STRICT, WITHOUT ROWID;

CREATE TABLE bodies (
    edition                INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku                    TEXT    NOT NULL,
    kind                   TEXT    NOT NULL DEFAULT 'body' CHECK (kind = 'body'),
    finish                 TEXT    NOT NULL,
    tube                   TEXT    NOT NULL,
    heat_source            TEXT    NOT NULL CHECK (heat_source IN ('electric', 'central_heating', 'dual_fuel')),
    width_mm               INTEGER NOT NULL CHECK (width_mm BETWEEN 100 AND 2000), -- BODY_WIDTH_MM
    height_mm              INTEGER NOT NULL CHECK (height_mm BETWEEN 200 AND 2500), -- BODY_HEIGHT_MM
    depth_mm               INTEGER NOT NULL CHECK (depth_mm BETWEEN 20 AND 400), -- BODY_DEPTH_MM
    lowest_tube_mm         INTEGER NOT NULL CHECK (0 <= lowest_tube_mm AND lowest_tube_mm <= height_mm),
    rated_output_w         REAL    NOT NULL CHECK (rated_output_w BETWEEN 20 AND 5000), -- RATED_OUTPUT_W
    exponent               REAL    NOT NULL CHECK (exponent BETWEEN 1.0 AND 1.5), -- EXPONENT
    watts_min              REAL    NOT NULL CHECK (watts_min BETWEEN 50 AND 3000), -- ELEMENT_WATTS
    watts_max              REAL    NOT NULL CHECK (watts_max BETWEEN 50 AND 3000), -- ELEMENT_WATTS
    fluid_limit_c          REAL    NOT NULL CHECK (fluid_limit_c BETWEEN 30 AND 120), -- FLUID_LIMIT_C
    fluid_volume_ml        INTEGER NOT NULL CHECK (fluid_volume_ml BETWEEN 200 AND 50000), -- FLUID_VOLUME_ML
    dry_mass_g             INTEGER NOT NULL CHECK (dry_mass_g BETWEEN 500 AND 80000), -- DRY_MASS_G
    permitted_gauge_kpa    REAL    CHECK (permitted_gauge_kpa BETWEEN 50 AND 2000), -- PERMITTED_GAUGE_KPA
    filled                 INTEGER NOT NULL CHECK (filled IN (0, 1)),
    thread                 TEXT    NOT NULL,
    open_port_count        INTEGER NOT NULL CHECK (0 <= open_port_count AND open_port_count <= 255),
    element_side           TEXT    NOT NULL CHECK (element_side IN ('left', 'right', 'either')),
    immersed_length_mm_max INTEGER NOT NULL CHECK (immersed_length_mm_max BETWEEN 50 AND 2000), -- IMMERSED_LENGTH_MM
    bore_mm                INTEGER NOT NULL CHECK (0 < bore_mm),
    bracket_count          INTEGER NOT NULL CHECK (0 <= bracket_count AND bracket_count <= 4294967295),
    guarded                INTEGER NOT NULL CHECK (guarded IN (0, 1)),
    PRIMARY KEY (edition, sku),
    FOREIGN KEY (edition, sku, kind) REFERENCES parts (edition, sku, kind),
    FOREIGN KEY (edition, finish) REFERENCES finishes (edition, code),
    CHECK (watts_min <= watts_max)
) STRICT, WITHOUT ROWID;

CREATE TABLE elements (
    edition                 INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku                     TEXT    NOT NULL,
    kind                    TEXT    NOT NULL DEFAULT 'element' CHECK (kind = 'element'),
    finish                  TEXT    NOT NULL,
    head                    TEXT    NOT NULL,
    watts                   REAL    NOT NULL CHECK (watts BETWEEN 50 AND 3000), -- ELEMENT_WATTS
    regulation              TEXT    NOT NULL CHECK (regulation IN ('fixed', 'adjustable')),
    set_point_c             REAL    CHECK (set_point_c BETWEEN 20 AND 95), -- SET_POINT_C
    set_point_c_min         REAL    CHECK (set_point_c_min BETWEEN 20 AND 95), -- SET_POINT_C
    set_point_c_max         REAL    CHECK (set_point_c_max BETWEEN 20 AND 95), -- SET_POINT_C
    set_point_c_lockable    REAL    CHECK (set_point_c_lockable BETWEEN 20 AND 95), -- SET_POINT_C
    thread                  TEXT    NOT NULL,
    immersed_length_mm      INTEGER NOT NULL CHECK (immersed_length_mm BETWEEN 50 AND 2000), -- IMMERSED_LENGTH_MM
    sheath_diameter_mm_e1   INTEGER NOT NULL CHECK (0 < sheath_diameter_mm_e1 AND sheath_diameter_mm_e1 <= 65535),
    head_length_mm          INTEGER NOT NULL CHECK (head_length_mm BETWEEN 10 AND 400), -- HEAD_LENGTH_MM
    displacement_ml         INTEGER NOT NULL CHECK (0 <= displacement_ml AND displacement_ml <= 65535),
    flex_length_mm          INTEGER NOT NULL CHECK (flex_length_mm BETWEEN 100 AND 10000), -- FLEX_LENGTH_MM
    flex_area_mm2_e2        INTEGER NOT NULL CHECK (0 < flex_area_mm2_e2 AND flex_area_mm2_e2 <= 65535),
    attachment              TEXT    NOT NULL CHECK (attachment IN ('X', 'Y', 'Z')),
    plug                    INTEGER NOT NULL CHECK (plug IN (0, 1)),
    ip                      TEXT,
    class                   TEXT    CHECK (class IN ('I', 'II', 'III')),
    declared_zones          TEXT    NOT NULL,
    thermal_cut_out         TEXT    NOT NULL CHECK (thermal_cut_out IN ('yes', 'no', 'not_stated')),
    fluid_limit_c           REAL    NOT NULL CHECK (fluid_limit_c BETWEEN 30 AND 120), -- FLUID_LIMIT_C
    control_code            TEXT    NOT NULL,
    timed_drying            INTEGER NOT NULL CHECK (timed_drying IN (0, 1)),
    resumes_after_power_cut TEXT    NOT NULL CHECK (resumes_after_power_cut IN ('yes', 'no', 'not_stated')),
    PRIMARY KEY (edition, sku),
    FOREIGN KEY (edition, sku, kind) REFERENCES parts (edition, sku, kind),
    FOREIGN KEY (edition, finish) REFERENCES finishes (edition, code),
    -- A factory set point belongs to the fixed ones, a range of set points to the adjustable ones.
    CHECK (
        CASE regulation
            WHEN 'fixed' THEN
                set_point_c_min IS NULL AND set_point_c_max IS NULL AND set_point_c_lockable IS NULL
            ELSE
                set_point_c IS NULL AND set_point_c_min IS NOT NULL AND set_point_c_max IS NOT NULL
                AND set_point_c_min <= set_point_c_max
        END
    )
) STRICT, WITHOUT ROWID;

CREATE TABLE controls (
    edition               INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku                   TEXT    NOT NULL,
    kind                  TEXT    NOT NULL DEFAULT 'control' CHECK (kind = 'control'),
    finish                TEXT    NOT NULL,
    fused_connection_unit INTEGER NOT NULL CHECK (fused_connection_unit IN (0, 1)),
    time_switch           INTEGER NOT NULL CHECK (time_switch IN (0, 1)),
    wall_thermostat       INTEGER NOT NULL CHECK (wall_thermostat IN (0, 1)),
    load_w_max            REAL    NOT NULL CHECK (load_w_max BETWEEN 10 AND 10000), -- CONTROL_LOAD_W
    fuse_a_max            INTEGER CHECK (0 < fuse_a_max AND fuse_a_max <= 65535),
    control_code          TEXT    NOT NULL,
    lockable              INTEGER NOT NULL CHECK (lockable IN (0, 1)),
    ip                    TEXT,
    class                 TEXT    CHECK (class IN ('I', 'II', 'III')),
    PRIMARY KEY (edition, sku),
    FOREIGN KEY (edition, sku, kind) REFERENCES parts (edition, sku, kind),
    FOREIGN KEY (edition, finish) REFERENCES finishes (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE accessories (
    edition           INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku               TEXT    NOT NULL,
    kind              TEXT    NOT NULL DEFAULT 'accessory' CHECK (kind = 'accessory'),
    accessory_kind    TEXT    NOT NULL CHECK (
        accessory_kind IN (
            'plug_cover', 'bracket', 'flex_cover', 'wall_plate', 'inhibitor', 'vent_key', 'hook', 'shelf'
        )
    ),
    finish            TEXT,
    tube              TEXT,
    thread            TEXT,
    cover_length_mm   INTEGER CHECK (0 < cover_length_mm),
    dose_ml_per_litre INTEGER CHECK (0 <= dose_ml_per_litre AND dose_ml_per_litre <= 65535),
    pack_ml           INTEGER CHECK (0 <= pack_ml AND pack_ml <= 65535),
    PRIMARY KEY (edition, sku),
    FOREIGN KEY (edition, sku, kind) REFERENCES parts (edition, sku, kind),
    FOREIGN KEY (edition, finish) REFERENCES finishes (edition, code)
) STRICT, WITHOUT ROWID;

-- What lies in a body's carton.
CREATE TABLE included (
    edition  INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    body_sku TEXT    NOT NULL,
    position INTEGER NOT NULL CHECK (0 <= position),
    sku      TEXT    NOT NULL,
    quantity INTEGER NOT NULL CHECK (0 <= quantity AND quantity <= 4294967295),
    PRIMARY KEY (edition, body_sku, position),
    FOREIGN KEY (edition, body_sku) REFERENCES bodies (edition, sku),
    FOREIGN KEY (edition, sku) REFERENCES accessories (edition, sku)
) STRICT, WITHOUT ROWID;

-- The catalogue keeper's own attributes: declared once, with a type, before any part may carry them.
CREATE TABLE attribute_declarations (
    edition    INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    position   INTEGER NOT NULL CHECK (0 <= position),
    kind       TEXT    NOT NULL CHECK (kind IN ('body', 'element', 'control', 'accessory')),
    name       TEXT    NOT NULL CHECK (name <> ''),
    value_type TEXT    NOT NULL CHECK (value_type IN ('flag', 'number', 'text', 'words')),
    unit       TEXT    NOT NULL,
    PRIMARY KEY (edition, kind, name),
    UNIQUE (edition, position),
    UNIQUE (edition, kind, name, value_type)
) STRICT, WITHOUT ROWID;

-- One typed column holds the value; the declaration says which.
CREATE TABLE part_attributes (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    sku             TEXT    NOT NULL,
    kind            TEXT    NOT NULL,
    name            TEXT    NOT NULL,
    value_type      TEXT    NOT NULL,
    value_flag      INTEGER CHECK (value_flag IN (0, 1)),
    value_number_e3 INTEGER,
    value_text      TEXT,
    value_words     TEXT,
    PRIMARY KEY (edition, sku, name),
    FOREIGN KEY (edition, sku, kind) REFERENCES parts (edition, sku, kind),
    FOREIGN KEY (edition, kind, name, value_type)
        REFERENCES attribute_declarations (edition, kind, name, value_type),
    CHECK ((value_flag IS NOT NULL) = (value_type = 'flag')),
    CHECK ((value_number_e3 IS NOT NULL) = (value_type = 'number')),
    CHECK ((value_text IS NOT NULL) = (value_type = 'text')),
    CHECK ((value_words IS NOT NULL) = (value_type = 'words'))
) STRICT, WITHOUT ROWID;
