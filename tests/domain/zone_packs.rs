//! Which rule pack a country and an edition of the zone table mean.

use rungwright::domain::zones::rules::WiringRules;

use crate::drawing;

pub(crate) fn pack_of(country: &str, edition: &str) -> Option<WiringRules> {
    let id = match country {
        "IEC" if edition.starts_with("2006") => "iec-2006",
        "IEC" => "iec-2019",
        "UK_BS7671" if edition.starts_with("16th") => "gb-16th",
        "UK_BS7671" if edition == "17th .. 18th A1" => "gb-bs7671-2018-a1",
        "UK_BS7671" => "gb-bs7671",
        "IE_IS10101" => "ie-is10101",
        "DE_VDE0100-701" if edition == "2025-06" => "de-2025",
        "DE_VDE0100-701" => "de-2008",
        "FR_C15-100" => "fr-a5",
        "IT_CEI64-8" => "it-cei64-8",
        "NL_NEN1010" => "nl-nen1010",
        "ES_ITC-BT-27" => "es-itc-bt-27",
        "BE_AREI" => "be-arei",
        "AU_NZ_3000" => "au-nz-3000",
        // South Africa is in the table and is no market of ours: there must be no pack that pretends.
        "ZA_SANS10142-1" => return None,
        other => panic!("unknown country {other:?}"),
    };
    Some(drawing::pack(id))
}
