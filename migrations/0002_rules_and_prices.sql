-- What an edition demands and what it costs: rules, the tables that rules look into, markets and price lists.

CREATE TABLE rules (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    code            TEXT    NOT NULL CHECK (code <> ''),
    left_kind       TEXT    NOT NULL CHECK (left_kind IN ('body', 'element', 'control', 'accessory')),
    left_name       TEXT    NOT NULL,
    relation        TEXT    NOT NULL CHECK (
        relation IN ('equal', 'at_most', 'at_least', 'within', 'listed_pair', 'covers')
    ),
    right_form      TEXT    NOT NULL CHECK (right_form IN ('attribute', 'range', 'constant')),
    right_kind      TEXT    NOT NULL CHECK (right_kind IN ('body', 'element', 'control', 'accessory')),
    right_name      TEXT,
    right_high_kind TEXT    CHECK (right_high_kind IN ('body', 'element', 'control', 'accessory')),
    right_high_name TEXT,
    value_type      TEXT    CHECK (value_type IN ('flag', 'number', 'text', 'words')),
    value_flag      INTEGER CHECK (value_flag IN (0, 1)),
    value_number_e3 INTEGER,
    value_text      TEXT,
    value_words     TEXT,
    pair_table      TEXT,
    severity        TEXT    NOT NULL CHECK (severity IN ('refuse', 'warn')),
    sentence        TEXT    NOT NULL,
    source          TEXT    NOT NULL,
    evidence        TEXT    NOT NULL CHECK (
        evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, code),
    CHECK ((right_name IS NOT NULL) = (right_form IN ('attribute', 'range'))),
    CHECK ((right_high_kind IS NOT NULL) = (right_form = 'range')),
    CHECK ((right_high_name IS NOT NULL) = (right_form = 'range')),
    CHECK ((value_type IS NOT NULL) = (right_form = 'constant')),
    CHECK ((value_flag IS NOT NULL) = (value_type IS 'flag')),
    CHECK ((value_number_e3 IS NOT NULL) = (value_type IS 'number')),
    CHECK ((value_text IS NOT NULL) = (value_type IS 'text')),
    CHECK ((value_words IS NOT NULL) = (value_type IS 'words'))
) STRICT, WITHOUT ROWID;

-- All conditions of a rule must be met, or the rule is not asked.
CREATE TABLE rule_conditions (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    rule_code       TEXT    NOT NULL,
    position        INTEGER NOT NULL CHECK (0 <= position),
    kind            TEXT    NOT NULL CHECK (kind IN ('body', 'element', 'control', 'accessory')),
    name            TEXT    NOT NULL,
    value_type      TEXT    NOT NULL CHECK (value_type IN ('flag', 'number', 'text', 'words')),
    value_flag      INTEGER CHECK (value_flag IN (0, 1)),
    value_number_e3 INTEGER,
    value_text      TEXT,
    value_words     TEXT,
    PRIMARY KEY (edition, rule_code, position),
    FOREIGN KEY (edition, rule_code) REFERENCES rules (edition, code),
    CHECK ((value_flag IS NOT NULL) = (value_type = 'flag')),
    CHECK ((value_number_e3 IS NOT NULL) = (value_type = 'number')),
    CHECK ((value_text IS NOT NULL) = (value_type = 'text')),
    CHECK ((value_words IS NOT NULL) = (value_type = 'words'))
) STRICT, WITHOUT ROWID;

CREATE TABLE listed_pairs (
    edition     INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    pair_table  TEXT    NOT NULL CHECK (pair_table <> ''),
    left_value  TEXT    NOT NULL,
    right_value TEXT    NOT NULL,
    PRIMARY KEY (edition, pair_table, left_value, right_value)
) STRICT, WITHOUT ROWID;

-- Which thread forms join. Different sizes never do and need no row.
CREATE TABLE thread_matings (
    edition  INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (0 <= position),
    external TEXT    NOT NULL CHECK (external IN ('G', 'R', 'Rp', 'Rc', 'NPT')),
    internal TEXT    NOT NULL CHECK (internal IN ('G', 'R', 'Rp', 'Rc', 'NPT')),
    mates    TEXT    NOT NULL CHECK (mates IN ('yes', 'conditional', 'not_standard', 'no')),
    seal     TEXT    NOT NULL,
    source   TEXT    NOT NULL,
    evidence TEXT    NOT NULL CHECK (
        evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, external, internal),
    UNIQUE (edition, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE markets (
    edition             INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    code                TEXT    NOT NULL CHECK (code <> ''),
    currency            TEXT    NOT NULL CHECK (length(currency) = 3),
    tax_rate_bp         INTEGER NOT NULL CHECK (tax_rate_bp BETWEEN 0 AND 5000), -- TAX_RATE_BP
    tax_source          TEXT    NOT NULL,
    tax_evidence        TEXT    NOT NULL CHECK (
        tax_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    language            TEXT    NOT NULL,
    wiring_rules        TEXT    NOT NULL,
    connection          TEXT    NOT NULL CHECK (connection IN ('fused_connection_unit', 'circuit_breaker')),
    connection_source   TEXT    NOT NULL,
    connection_evidence TEXT    NOT NULL CHECK (
        connection_evidence IN (
            'read', 'read-secondary', 'computed', 'inferred', 'practice', 'memory', 'fallback', 'invented'
        )
    ),
    PRIMARY KEY (edition, code),
    UNIQUE (edition, code, currency)
) STRICT, WITHOUT ROWID;

CREATE TABLE market_regions (
    edition     INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    market_code TEXT    NOT NULL,
    position    INTEGER NOT NULL CHECK (0 <= position),
    code        TEXT    NOT NULL CHECK (code <> ''),
    PRIMARY KEY (edition, market_code, position),
    UNIQUE (edition, market_code, code),
    FOREIGN KEY (edition, market_code) REFERENCES markets (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE price_lists (
    edition     INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    code        TEXT    NOT NULL CHECK (code <> ''),
    market_code TEXT    NOT NULL,
    currency    TEXT    NOT NULL,
    valid_from  TEXT    NOT NULL CHECK (valid_from IS date(valid_from)),
    valid_to    TEXT    CHECK (valid_to IS NULL OR valid_to IS date(valid_to)),
    PRIMARY KEY (edition, code),
    FOREIGN KEY (edition, market_code, currency) REFERENCES markets (edition, code, currency),
    CHECK (valid_to IS NULL OR valid_from <= valid_to)
) STRICT, WITHOUT ROWID;

CREATE TABLE prices (
    edition         INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    price_list_code TEXT    NOT NULL,
    sku             TEXT    NOT NULL,
    unit_price_e4   INTEGER NOT NULL CHECK (unit_price_e4 BETWEEN 0 AND 1000000000), -- UNIT_PRICE_E4
    PRIMARY KEY (edition, price_list_code, sku),
    FOREIGN KEY (edition, price_list_code) REFERENCES price_lists (edition, code),
    FOREIGN KEY (edition, sku) REFERENCES parts (edition, sku)
) STRICT, WITHOUT ROWID;
