//! One report from the core crates, the same bytes natively and on wasm.
//!
//! A build for wasm alone misses a call to a clock, and a run alone misses a last bit that differs; so [`smoke`] makes each
//! core crate work and writes down what came out, floats as their bits. `scripts/wasm.sh` compares the two reports.

mod answers;
mod circuits;
mod drawings;
mod evidence;
#[cfg(target_family = "wasm")]
mod export;
mod languages;
mod motion;
mod plans;
mod proofs;
mod properties;
mod quantities;
mod records;
mod report;
mod shapes;
mod sheets;
pub mod speed;
mod teaching;
mod work;

use report::Report;

/// The report: one section a crate, one line a finding. A line that holds `error:` is something that should have worked.
pub fn smoke() -> String {
    let mut report = Report::default();
    report.section("units");
    quantities::write(&mut report);
    report.section("thermo");
    properties::write(&mut report);
    report.section("search");
    plans::write(&mut report);
    report.section("circuit");
    circuits::write(&mut report);
    report.section("service");
    work::write(&mut report);
    report.section("prove");
    proofs::write(&mut report);
    report.section("record");
    records::write(&mut report);
    report.section("teach");
    teaching::write(&mut report);
    report.section("readings");
    evidence::write(&mut report);
    report.section("rehearse");
    motion::write(&mut report);
    report.section("report");
    drawings::write(&mut report);
    report.section("drawing");
    sheets::write(&mut report);
    report.section("phrases");
    languages::write(&mut report);
    report.section("wire");
    shapes::write(&mut report);
    report.section("answer");
    answers::write(&mut report);
    report.text()
}
