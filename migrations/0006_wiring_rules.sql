-- Wiring rules of countries, kept with the edition that was sold under them.
--
-- All may be empty: an edition without rules leaves them to the program, and its answers say so. Rules without a row in
-- `wiring_shapes` have no figures, and nothing can be established from them. Lengths reach to 20 m, as the program checks.

CREATE TABLE wiring_rules (
    edition           INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    code              TEXT    NOT NULL CHECK (1 <= length(code) AND length(code) <= 40),
    title             TEXT    NOT NULL,
    rules_edition     TEXT    NOT NULL,
    valid_from        TEXT    CHECK (valid_from IS NULL OR valid_from IS date(valid_from)),
    valid_until       TEXT    CHECK (valid_until IS NULL OR valid_until IS date(valid_until)),
    places            TEXT    NOT NULL,
    source            TEXT    NOT NULL,
    evidence          TEXT    NOT NULL CHECK (
        evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    residual          TEXT    NOT NULL CHECK (residual IN ('required', 'not-established')),
    residual_source   TEXT    NOT NULL,
    residual_evidence TEXT    NOT NULL CHECK (
        residual_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    device            TEXT    NOT NULL CHECK (device IN ('cartridge-fuse', 'circuit-breaker')),
    device_source     TEXT    NOT NULL,
    device_evidence   TEXT    NOT NULL CHECK (
        device_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    bonding           TEXT    NOT NULL,
    bonding_source    TEXT    NOT NULL,
    bonding_evidence  TEXT    NOT NULL CHECK (
        bonding_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, code),
    CHECK (valid_from <= valid_until)
) STRICT, WITHOUT ROWID;

-- The figures that shape the zones.
CREATE TABLE wiring_shapes (
    edition                        INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    rules_code                     TEXT    NOT NULL,
    plane_mm                       INTEGER NOT NULL CHECK (0 <= plane_mm AND plane_mm <= 20000),
    plane_datum                    TEXT    NOT NULL CHECK (
        plane_datum IN ('floor', 'bath-or-tray-bottom', 'floor-or-bottom-above-150')
    ),
    plane_raised_by_head           INTEGER NOT NULL CHECK (plane_raised_by_head IN (0, 1)),
    trayless_demountable_mm        INTEGER NOT NULL CHECK (0 <= trayless_demountable_mm AND trayless_demountable_mm <= 20000),
    trayless_fixed_mm              INTEGER NOT NULL CHECK (0 <= trayless_fixed_mm AND trayless_fixed_mm <= 20000),
    over_basin_radius_mm           INTEGER NOT NULL CHECK (0 <= over_basin_radius_mm AND over_basin_radius_mm <= 20000),
    trayless_zone0_mm              INTEGER NOT NULL CHECK (0 <= trayless_zone0_mm AND trayless_zone0_mm <= 20000),
    immersion_below_mm             INTEGER NOT NULL CHECK (0 <= immersion_below_mm AND immersion_below_mm <= 20000),
    zone2_mm                       INTEGER NOT NULL CHECK (0 <= zone2_mm AND zone2_mm <= 20000),
    zone2_top_mm                   INTEGER CHECK (0 <= zone2_top_mm AND zone2_top_mm <= 20000),
    zone2_trayless                 INTEGER NOT NULL CHECK (zone2_trayless IN (0, 1)),
    zone2_over_zone1_to_mm         INTEGER CHECK (0 <= zone2_over_zone1_to_mm AND zone2_over_zone1_to_mm <= 20000),
    zone3_mm                       INTEGER CHECK (0 <= zone3_mm AND zone3_mm <= 20000),
    zone3_top_mm                   INTEGER CHECK (0 <= zone3_top_mm AND zone3_top_mm <= 20000),
    zone3_over_zone2_to_mm         INTEGER CHECK (0 <= zone3_over_zone2_to_mm AND zone3_over_zone2_to_mm <= 20000),
    under_tool                     TEXT    NOT NULL CHECK (under_tool IN ('1', 'hidden', 'outside')),
    under_no_tool                  TEXT    NOT NULL CHECK (under_no_tool IN ('1', 'hidden', 'outside')),
    partitions                     TEXT    NOT NULL CHECK (
        partitions IN ('none', 'fixed-floor-full-height', 'effective-spray-barrier', 'string-over-and-round')
    ),
    washbasin_small_litres         INTEGER CHECK (0 <= washbasin_small_litres AND washbasin_small_litres <= 20000),
    washbasin_small_mm             INTEGER CHECK (0 <= washbasin_small_mm AND washbasin_small_mm <= 20000),
    washbasin_small_above_mm       INTEGER CHECK (0 <= washbasin_small_above_mm AND washbasin_small_above_mm <= 20000),
    washbasin_large_mm             INTEGER CHECK (0 <= washbasin_large_mm AND washbasin_large_mm <= 20000),
    washbasin_large_above_mm       INTEGER CHECK (0 <= washbasin_large_above_mm AND washbasin_large_above_mm <= 20000),
    PRIMARY KEY (edition, rules_code),
    FOREIGN KEY (edition, rules_code) REFERENCES wiring_rules (edition, code),
    CHECK ((zone3_mm IS NULL) = (zone3_top_mm IS NULL)),
    CHECK (zone3_mm IS NOT NULL OR zone3_over_zone2_to_mm IS NULL),
    CHECK ((washbasin_small_litres IS NULL) = (washbasin_small_mm IS NULL)),
    CHECK ((washbasin_small_litres IS NULL) = (washbasin_small_above_mm IS NULL)),
    CHECK ((washbasin_small_litres IS NULL) = (washbasin_large_mm IS NULL)),
    CHECK ((washbasin_small_litres IS NULL) = (washbasin_large_above_mm IS NULL))
) STRICT, WITHOUT ROWID;

-- What may hang where; the first row that names a kind and a zone rules.
CREATE TABLE wiring_rows (
    edition           INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    rules_code        TEXT    NOT NULL,
    position          INTEGER NOT NULL CHECK (0 <= position),
    kinds             TEXT    NOT NULL CHECK (kinds <> ''),
    zones             TEXT    NOT NULL CHECK (zones <> ''),
    ruling            TEXT    NOT NULL CHECK (ruling IN ('refused', 'allowed', 'not-established')),
    refusal           TEXT    CHECK (
        refusal IN ('zone-not-listed', 'switch-inside-zone', 'socket-too-near', 'not-in-this-room')
    ),
    permanent         INTEGER NOT NULL CHECK (permanent IN (0, 1)),
    declared          INTEGER NOT NULL CHECK (declared IN (0, 1)),
    unit_outside      INTEGER NOT NULL CHECK (unit_outside IN (0, 1)),
    ip                TEXT,
    ip_jets           TEXT,
    classes           TEXT    NOT NULL,
    height_min_mm     INTEGER CHECK (0 <= height_min_mm AND height_min_mm <= 20000),
    from_zone1_min_mm INTEGER CHECK (0 <= from_zone1_min_mm AND from_zone1_min_mm <= 20000),
    caution           TEXT,
    source            TEXT    NOT NULL,
    evidence          TEXT    NOT NULL CHECK (
        evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, rules_code, position),
    FOREIGN KEY (edition, rules_code) REFERENCES wiring_rules (edition, code),
    CHECK ((ruling = 'refused') = (refusal IS NOT NULL))
) STRICT, WITHOUT ROWID;

-- Points on which the sources disagree: on the rules, or on the shape that only a drawing shows.
CREATE TABLE wiring_conflicts (
    edition    INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    rules_code TEXT    NOT NULL,
    concern    TEXT    NOT NULL CHECK (concern IN ('rules', 'drawing')),
    position   INTEGER NOT NULL CHECK (0 <= position),
    sentence   TEXT    NOT NULL,
    PRIMARY KEY (edition, rules_code, concern, position),
    FOREIGN KEY (edition, rules_code) REFERENCES wiring_rules (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER wiring_rules_add BEFORE INSERT ON wiring_rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_rules_change BEFORE UPDATE ON wiring_rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_rules_remove BEFORE DELETE ON wiring_rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_shapes_add BEFORE INSERT ON wiring_shapes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_shapes_change BEFORE UPDATE ON wiring_shapes
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_shapes_remove BEFORE DELETE ON wiring_shapes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_rows_add BEFORE INSERT ON wiring_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_rows_change BEFORE UPDATE ON wiring_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_rows_remove BEFORE DELETE ON wiring_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_conflicts_add BEFORE INSERT ON wiring_conflicts
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_conflicts_change BEFORE UPDATE ON wiring_conflicts
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER wiring_conflicts_remove BEFORE DELETE ON wiring_conflicts
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;
