//! A row of the checks file, and how the figures in its inputs are read.

use std::fs::File;

/// A published figure.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub id: String,
    pub quantity: String,
    pub inputs: String,
    pub expected: String,
    pub tolerance: f64,
    pub how_known: String,
}

/// What the domain computes for a row.
#[derive(Debug)]
pub(super) enum Found {
    Number(f64),
    Text(String),
}

pub(super) fn load_rows() -> Vec<Row> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/thermal_checks.csv");
    let mut reader = csv::Reader::from_reader(File::open(path).unwrap());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let column = |name: &str| header.iter().position(|known| known == name).unwrap();
    let columns = ["id", "quantity", "inputs", "expected", "tolerance", "how_known"].map(column);
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            let [id, quantity, inputs, expected, tolerance, how_known] =
                columns.map(|index| record.get(index).unwrap().to_owned());
            Row { id, quantity, inputs, expected, tolerance: tolerance.parse().unwrap(), how_known }
        })
        .collect()
}

impl Row {
    /// Known from memory or by inference: nobody has read it.
    pub(super) fn is_weak(&self) -> bool {
        self.how_known.contains("MEMORY") || self.how_known.contains("INFERRED")
    }

    /// The number that follows a mark in the inputs: `after("Ti=")`.
    pub(super) fn after(&self, mark: &str) -> f64 {
        self.try_after(mark).unwrap_or_else(|| panic!("{}: no {mark} in {}", self.id, self.inputs))
    }

    /// The same where the mark may be absent.
    pub(super) fn try_after(&self, mark: &str) -> Option<f64> {
        number_after(&self.inputs, mark)
    }

    /// The parts of the inputs between semicolons.
    pub(super) fn parts(&self) -> Vec<&str> {
        self.inputs.split(';').map(str::trim).collect()
    }

    /// Three numbers written `75/65/20`.
    pub(super) fn triple(&self) -> [f64; 3] {
        let part = self.parts().into_iter().find(|part| part.matches('/').count() == 2).unwrap();
        let numbers: Vec<f64> = part.split('/').map(|number| number.parse().unwrap()).collect();
        numbers.try_into().unwrap()
    }

    /// Two numbers written `20->70 C`.
    pub(super) fn path(&self) -> [f64; 2] {
        let part = self.parts().into_iter().find(|part| part.contains("->")).unwrap();
        let (from, to) = part.split_once("->").unwrap();
        let from = from.rsplit(' ').next().unwrap();
        [from.parse().unwrap(), leading_number(to).unwrap()]
    }
}

/// The number that follows a mark in a text.
pub(super) fn number_after(text: &str, mark: &str) -> Option<f64> {
    let (_, rest) = text.split_once(mark)?;
    leading_number(rest)
}

/// The number at the head of a text.
pub(super) fn leading_number(text: &str) -> Option<f64> {
    let text = text.trim_start();
    let end = text
        .char_indices()
        .find(|&(index, letter)| {
            !(letter.is_ascii_digit() || letter == '.' || (index == 0 && letter == '-'))
        })
        .map_or(text.len(), |(index, _)| index);
    text.get(..end)?.parse().ok()
}
