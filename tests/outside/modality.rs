//! Norms of 14 CFR against the meaning that 14 CFR 1.3(b) gives the words: "shall is used in an
//! imperative sense", "may is used in a permissive sense …, and the words «no person may * * *» or
//! «a person may not * * *» mean that no person is required, authorized, or permitted to do the act
//! prescribed".
//!
//! Text: Title 14 of the Code of Federal Regulations, parts 43, 65 and 91, as the eCFR served it in
//! March 2021; text of the US Government, in the public domain (17 U.S.C. 105). Where one of the
//! lines below is a part of its paragraph, the section is named beside it all the same. The column
//! of modalities is ours, from § 1.3: "no person may … unless / except" is a restriction; "only"
//! beside "may" is one; "may" alone is a permission; "must", "shall" and "will" are obligations.

use whomay::patterns::Patterns;
use whomay::understand::{Context, passage};

/// Section, text, modalities in order, bearer of the first (`""` = none).
const CASES: &[(&str, &str, &[&str], &str)] = &[
    (
        "43.3(a)",
        "Except as provided in this section and §43.17, no person may maintain, rebuild, alter, or perform preventive maintenance on an aircraft, airframe, aircraft engine, propeller, appliance, or component part to which this part applies.",
        &["restriction"],
        "person",
    ),
    (
        "43.3(b)",
        "The holder of a mechanic certificate may perform maintenance, preventive maintenance, and alterations as provided in Part 65 of this chapter.",
        &["permission"],
        "The holder of a mechanic certificate",
    ),
    (
        "43.3(c)",
        "The holder of a repairman certificate may perform maintenance, preventive maintenance, and alterations as provided in part 65 of this chapter.",
        &["permission"],
        "The holder of a repairman certificate",
    ),
    (
        "43.3(e)",
        "The holder of a repair station certificate may perform maintenance, preventive maintenance, and alterations as provided in Part 145 of this chapter.",
        &["permission"],
        "The holder of a repair station certificate",
    ),
    (
        "43.15(c)(1)",
        "Each person performing an annual or 100-hour inspection shall use a checklist while performing the inspection.",
        &["obligation"],
        "Each person performing an annual or 100-hour inspection",
    ),
    (
        "65.83",
        "A certificated mechanic may not exercise the privileges of his certificate and rating unless, within the preceding 24 months—",
        &["restriction"],
        "A certificated mechanic",
    ),
    (
        "65.81(b)",
        "A certificated mechanic may not exercise the privileges of his certificate and rating unless he understands the current instructions of the manufacturer, and the maintenance manuals, for the specific operation concerned.",
        &["restriction"],
        "A certificated mechanic",
    ),
    (
        "65.104(b)",
        "The holder of a repairman certificate (experimental aircraft builder) may perform condition inspections on the aircraft constructed by the holder in accordance with the operating limitations of that aircraft.",
        &["permission"],
        "The holder of a repairman certificate (experimental aircraft builder)",
    ),
    (
        "65.55(b)",
        "The applicant must present documentary evidence satisfactory to the administrator of having passed an aircraft dispatcher knowledge test within the preceding 24 calendar months.",
        &["obligation"],
        "The applicant",
    ),
    (
        "65.18(a)",
        "Except as authorized by the Administrator, no person may—",
        &["restriction"],
        "person",
    ),
    (
        "91.7(a)",
        "No person may operate a civil aircraft unless it is in an airworthy condition.",
        &["restriction"],
        "person",
    ),
    (
        "91.7(b)",
        "The pilot in command of a civil aircraft is responsible for determining whether that aircraft is in condition for safe flight. The pilot in command shall discontinue the flight when unairworthy mechanical, electrical, or structural conditions occur.",
        &["obligation", "obligation"],
        "The pilot in command of a civil aircraft",
    ),
    (
        "91.9(a)",
        "Except as provided in paragraph (d) of this section, no person may operate a civil aircraft without complying with the operating limitations specified in the approved Airplane or Rotorcraft Flight Manual, markings, and placards, or as otherwise prescribed by the certificating authority of the country of registry.",
        &["restriction"],
        "person",
    ),
    (
        "91.13(a)",
        "No person may operate an aircraft in a careless or reckless manner so as to endanger the life or property of another.",
        &["prohibition"],
        "person",
    ),
    (
        "91.157(b)",
        "Special VFR operations may only be conducted—",
        &["restriction"],
        "",
    ),
    (
        "91.213(a)(2)",
        "The letter of authorization may be obtained by written request of the airworthiness certificate holder.",
        &["permission"],
        "",
    ),
    (
        "91.319(b)",
        "No person may operate an aircraft that has an experimental certificate outside of an area assigned by the Administrator until it is shown that—",
        &["restriction"],
        "person",
    ),
    (
        "91.403(a)",
        "The owner or operator of an aircraft is primarily responsible for maintaining that aircraft in an airworthy condition, including compliance with part 39 of this chapter.",
        &["obligation"],
        "The owner or operator of an aircraft",
    ),
    (
        "91.403(b)",
        "No person may perform maintenance, preventive maintenance, or alterations on an aircraft other than as prescribed in this subpart and other applicable regulations, including part 43 of this chapter.",
        &["restriction"],
        "person",
    ),
    (
        "91.403(d)",
        "A person must not alter an aircraft based on a supplemental type certificate unless the owner or operator of the aircraft is the holder of the supplemental type certificate, or has written permission from the holder.",
        &["restriction"],
        "A person",
    ),
    (
        "91.417(a)",
        "Except for work performed in accordance with §§91.411 and 91.413, each registered owner or operator shall keep the following records for the periods specified in paragraph (b) of this section:",
        &["obligation"],
        "each registered owner or operator",
    ),
    (
        "91.1059(a)",
        "No program manager may assign any flight crewmember, and no flight crewmember may accept an assignment, for flight time as a member of a one- or two-pilot crew",
        &["prohibition", "prohibition"],
        "program manager",
    ),
    (
        "91.1109(c)",
        "The Administrator may require revision of the inspection program approved under this section in accordance with the provisions of §91.415.",
        &["permission"],
        "The Administrator",
    ),
    (
        "91.411(b)",
        "The tests required by paragraph (a) of this section must be conducted by—",
        &["obligation"],
        "",
    ),
    (
        "91.603",
        "No person may operate a transport category airplane in air commerce unless that airplane is equipped with an aural speed warning device that complies with §25.1303(c)(1).",
        &["restriction"],
        "person",
    ),
    (
        "91.607(f)(4)",
        "No person may remove any exit that would result in a ratio of maximum number of occupants to approved exits greater than 14:1.",
        &["prohibition"],
        "person",
    ),
    (
        "91.1705(c)",
        "Satisfactory completion of the competency check required by §135.293 of this chapter within the preceding 12 calendar months may not be substituted for the Mitsubishi MU-2B series airplane annual recurrent flight training of this section.",
        &["prohibition"],
        "",
    ),
    (
        "43.1(b)",
        "This part does not apply to—",
        &["statement"],
        "",
    ),
];

#[test]
fn words_of_14_cfr_mean_what_section_1_3_says() {
    let patterns = Patterns::embedded().unwrap();
    let mut wrong = Vec::new();
    for (section, text, wanted, bearer) in CASES {
        let norms = passage(text, Context::default(), &patterns).norms;
        let found: Vec<&str> = norms.iter().map(|n| n.modality.name()).collect();
        let first = norms
            .first()
            .and_then(|n| n.bearer.as_ref())
            .map_or("", |b| b.text.as_str());
        if found != *wanted || first != *bearer {
            wrong.push(format!("{section}: {found:?}, «{first}»"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
