//! Questions, drills and scores.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Questions about a circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionsAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    pub atmosphere_pa: f64,
    /// The seed that they were made from.
    pub seed: u64,
    /// The questions.
    pub questions: Vec<QuestionTold>,
}

/// A question with its answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionTold {
    /// From 1.
    pub n: usize,
    /// Its kind, stable, kebab-case.
    pub kind: String,
    /// The question.
    pub ask: String,
    /// How everything stands.
    pub scene: QuestionScene,
    /// The answers to choose from; empty where a number is asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub choices: Vec<QuestionChoice>,
    /// The number that is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<QuestionNumber>,
    /// Why the right answer is right.
    pub why: String,
}

/// How everything stands in a question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionScene {
    /// Whether the system ran when the stems were turned, and goes on running.
    pub running: bool,
    /// The stems that stand otherwise than in normal running.
    pub turned: Vec<StemTurned>,
    /// The ports with a hose and gauge on.
    pub hoses: Vec<String>,
    /// What is given besides.
    pub given: Vec<QuestionGiven>,
    /// The steps of a procedure that it is about.
    pub steps: Vec<String>,
}

/// A stem and how it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StemTurned {
    /// The valve.
    pub stem: String,
    /// How it stands.
    pub position: String,
}

/// Something that is given in a question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionGiven {
    /// What it is.
    pub name: String,
    /// Its value, with its unit.
    pub value: String,
}

/// One of several answers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionChoice {
    /// The answer.
    pub say: String,
    /// Whether it is the right one.
    pub right: bool,
    /// Why it is right, or which mistake leads to it.
    pub because: String,
}

/// A number as an answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionNumber {
    /// "gauge-pressure" (Pa above the atmosphere at the site), "mass" (kg) or "temperature-difference" (K).
    pub of: String,
    /// The right value.
    pub value: f64,
    /// What an answer may be off by.
    pub tolerance: f64,
    /// The right value in a person's units.
    pub say: String,
    /// Wrong values, and which mistake leads to each.
    pub wrong: Vec<WrongNumber>,
}

/// A wrong number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WrongNumber {
    /// The value.
    pub value: f64,
    /// The value in a person's units.
    pub say: String,
    /// Which mistake leads to it.
    pub because: String,
}

/// How an answer to a question came out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GradeAnswer {
    /// Whether it is right.
    pub right: bool,
    /// The mistake that leads to a wrong one, where it is a known one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mistake: Option<String>,
    /// The right answer in words.
    pub answer: String,
    /// Why.
    pub why: String,
}

/// How answers to questions came out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GradesAnswer {
    /// How many are right.
    pub right: usize,
    /// Of so many questions.
    pub of: usize,
    /// Each answer, in the order of the questions.
    pub grades: Vec<GradeAnswer>,
}

/// The drills that are built in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DrillsAnswer {
    /// The drills.
    pub drills: Vec<DrillEntry>,
}

/// A drill that is built in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DrillEntry {
    /// Its name, as "drill:NAME" takes it.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// The circuit.
    pub circuit: String,
    /// What is to be reached, in a sentence.
    pub goal: String,
    /// What it is for, for those who choose it; it may tell the fault.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A drill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrillAnswer {
    /// What people call it.
    pub name: String,
    /// What it is for, for those who hand it out; it may tell the fault.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What the trainee is told.
    pub brief: String,
    /// The circuit's name.
    pub circuit: String,
    /// The text of the circuit file.
    pub circuit_file: String,
    /// "si" or "ip".
    pub units: String,
    /// Whether the system stands at the start.
    pub standing: bool,
    /// Stems that visibly stand otherwise than in normal running.
    pub turned: Vec<StemTurned>,
    /// What is not at hand.
    pub without: Vec<String>,
    /// What is wrong and not told.
    pub faults: Vec<DrillFault>,
    /// About the faults that only a running rehearsal shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note_on_faults: Option<String>,
    /// The job that is to be done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// The questions that are to be answered.
    pub questions: Vec<QuestionTold>,
    /// The atmosphere's pressure at the site, Pa.
    pub atmosphere_pa: f64,
    /// So many marks of 100 pass.
    pub pass: u32,
}

/// A fault.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrillFault {
    /// Its kind, stable, kebab-case.
    pub kind: String,
    /// Where.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// How large, as a part from 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<f64>,
    /// How large, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// How large, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub difference_k: Option<f64>,
    /// How its stem stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    /// Which refrigerant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refrigerant: Option<String>,
    /// Whether the state at rest and in balance shows it.
    pub shows_at_rest: bool,
    /// How it is put into a running rehearsal; left out where it is a matter of caps and stems, or can't be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_motion: Option<FaultInMotion>,
}

/// A fault as a running rehearsal takes it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FaultInMotion {
    /// Its id there.
    pub id: String,
    /// Its size there, in the unit that the rehearsal's list of faults gives for it.
    pub size: f64,
}

/// What a run of a drill is worth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrillScore {
    /// The drill's name.
    pub drill: String,
    /// Marks of 100.
    pub marks: u32,
    /// So many pass.
    pub pass: u32,
    /// Whether they pass.
    pub passed: bool,
    /// Where they come from.
    pub heads: Vec<ScoreHead>,
    /// What the run comes to.
    pub yours: RunTally,
    /// What the best known way comes to.
    pub best: RunTally,
    /// The rules that cost marks.
    pub fired: Vec<ScoreFired>,
    /// What went wrong while the clock ran.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub happened: Vec<ScoreHappened>,
    /// What is asked for and not there.
    pub missing: Vec<String>,
    /// Why the run ended early.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// Where it went wrong.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fork: Option<ScoreFork>,
    /// The run, action by action.
    pub trace: Vec<RunAction>,
}

/// One head of the marks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreHead {
    /// "safety", "goal", "refrigerant", "stems" or "time".
    pub id: String,
    /// Marks.
    pub got: u32,
    /// Of so many.
    pub of: u32,
    /// The rule.
    pub say: String,
}

/// What a run comes to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunTally {
    /// Refrigerant lost, kg.
    pub lost_kg: f64,
    /// Stem turns.
    pub turns: usize,
    /// Minutes, by stated rules.
    pub minutes: f64,
}

/// Something that went wrong while the clock ran.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreHappened {
    /// After this action, from 1; 0: before the first.
    pub action: usize,
    /// "warning" or "danger".
    pub severity: String,
    /// In a sentence.
    pub say: String,
    /// Marks that it costs.
    pub marks: u32,
}

/// A rule that costs marks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreFired {
    /// The action, from 1.
    pub action: usize,
    /// The rule's id.
    pub id: String,
    /// "warning" or "danger".
    pub severity: String,
    /// The sentence with its numbers.
    pub say: String,
    /// How to avoid it.
    pub avoid: String,
    /// Marks.
    pub marks: u32,
}

/// Where a run left the best way at a cost for the first time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreFork {
    /// The action, from 1; one more than the run has: at its end.
    pub action: usize,
    /// The step that it belongs to, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// What was done there.
    pub yours: Vec<String>,
    /// What the best way does there.
    pub best: Vec<String>,
    /// Marks that it costs.
    pub marks: u32,
    /// What comes of it.
    pub why: String,
}

/// One action of a run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunAction {
    /// Its step, from 1.
    pub n: usize,
    /// The action, in the words of the procedure file.
    pub action: String,
    /// Whether the best way has it too, in its turn.
    pub on_best: bool,
    /// Refrigerant lost so far, kg.
    pub lost_kg: f64,
    /// The rules that fire: "danger: …".
    pub fired: Vec<String>,
}
