-- Terms of sale beside the prices: customer tiers, quantity breaks, tax by date, delivery, who sells.
--
-- All may be empty: a list without a row is a retail list of net prices, a market without a row has the usual terms.

CREATE TABLE price_list_terms (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    price_list_code TEXT    NOT NULL,
    tier            TEXT    NOT NULL CHECK (tier IN ('retail', 'trade', 'merchant')),
    includes_tax    INTEGER NOT NULL CHECK (includes_tax IN (0, 1)),
    PRIMARY KEY (edition, price_list_code),
    FOREIGN KEY (edition, price_list_code) REFERENCES price_lists (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE quantity_breaks (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    price_list_code TEXT    NOT NULL,
    sku             TEXT    NOT NULL,
    quantity_min    INTEGER NOT NULL CHECK (2 <= quantity_min AND quantity_min <= 9999),
    unit_price_e4   INTEGER NOT NULL CHECK (unit_price_e4 BETWEEN 0 AND 1000000000), -- UNIT_PRICE_E4
    PRIMARY KEY (edition, price_list_code, sku, quantity_min),
    FOREIGN KEY (edition, price_list_code, sku) REFERENCES prices (edition, price_list_code, sku)
) STRICT, WITHOUT ROWID;

-- Tax by market, category (UNCL 5305) and date. A market without a row for the standard rate has that of `markets`.
CREATE TABLE tax_rows (
    edition      INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    market_code  TEXT    NOT NULL,
    category     TEXT    NOT NULL CHECK (category IN ('S', 'Z', 'K', 'G', 'AE')),
    tax_rate_bp  INTEGER NOT NULL CHECK (tax_rate_bp BETWEEN 0 AND 5000), -- TAX_RATE_BP
    valid_from   TEXT    NOT NULL CHECK (valid_from IS date(valid_from)),
    valid_to     TEXT    CHECK (valid_to IS NULL OR valid_to IS date(valid_to)),
    tax_source   TEXT    NOT NULL,
    tax_evidence TEXT    NOT NULL CHECK (
        tax_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, market_code, category, valid_from),
    FOREIGN KEY (edition, market_code) REFERENCES markets (edition, code),
    CHECK (category = 'S' OR tax_rate_bp = 0),
    CHECK (valid_to IS NULL OR valid_from <= valid_to)
) STRICT, WITHOUT ROWID;

CREATE TABLE delivery_charges (
    edition       INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    market_code   TEXT    NOT NULL,
    band          TEXT    NOT NULL CHECK (band <> ''),
    mass_g_max    INTEGER NOT NULL CHECK (1 <= mass_g_max AND mass_g_max <= 4294967295),
    length_mm_max INTEGER NOT NULL CHECK (1 <= length_mm_max AND length_mm_max <= 4294967295),
    net_minor     INTEGER NOT NULL CHECK (0 <= net_minor),
    PRIMARY KEY (edition, market_code, band, mass_g_max, length_mm_max),
    FOREIGN KEY (edition, market_code) REFERENCES markets (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE market_terms (
    edition        INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    market_code    TEXT    NOT NULL,
    seller_country TEXT    NOT NULL CHECK (length(seller_country) = 2),
    time_zone      TEXT    NOT NULL CHECK (time_zone <> ''),
    validity_days  INTEGER NOT NULL CHECK (1 <= validity_days AND validity_days <= 366),
    tax_rounding   TEXT    NOT NULL CHECK (tax_rounding IN ('per_rate', 'per_line')),
    PRIMARY KEY (edition, market_code),
    FOREIGN KEY (edition, market_code) REFERENCES markets (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER price_list_terms_add BEFORE INSERT ON price_list_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER price_list_terms_change BEFORE UPDATE ON price_list_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER price_list_terms_remove BEFORE DELETE ON price_list_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER quantity_breaks_add BEFORE INSERT ON quantity_breaks
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER quantity_breaks_change BEFORE UPDATE ON quantity_breaks
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER quantity_breaks_remove BEFORE DELETE ON quantity_breaks
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER tax_rows_add BEFORE INSERT ON tax_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER tax_rows_change BEFORE UPDATE ON tax_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER tax_rows_remove BEFORE DELETE ON tax_rows
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER delivery_charges_add BEFORE INSERT ON delivery_charges
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER delivery_charges_change BEFORE UPDATE ON delivery_charges
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER delivery_charges_remove BEFORE DELETE ON delivery_charges
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_terms_add BEFORE INSERT ON market_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_terms_change BEFORE UPDATE ON market_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_terms_remove BEFORE DELETE ON market_terms
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;
