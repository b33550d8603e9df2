//! `circuit`: every example read, and what its valves and a hose join.

use stemwise_circuit::{
    Assembly, Attached, Circuit, Lineup, Reading, Rig, Sections, examples, port_reach, read,
};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for example in examples() {
        write_reading(report, example.name, &read(example.text.as_bytes()));
    }
    for broken in [&b"\xff\xfe"[..], b"schema = 1\nname = ", b"[[[[", b"schema = 99\ncolour = \"red\"\n"] {
        let said = read(broken)
            .problems
            .first()
            .map(|problem| format!("{}:{} {}", problem.line, problem.column, problem.say));
        report.line(&format!("refused: {}", said.as_deref().unwrap_or("error: taken")));
    }
}

fn write_reading(report: &mut Report, name: &str, reading: &Reading) {
    for problem in &reading.problems {
        report.line(&format!(
            "{name}: {:?} {}:{} {}",
            problem.severity, problem.line, problem.column, problem.say
        ));
    }
    let Some(circuit) = &reading.circuit else { return report.line(&format!("{name}: no circuit")) };
    // Rust prints the shortest digits that read back as the same float, so equal text means equal bits.
    report.digest(&format!("{name} as read"), &format!("{circuit:?}"));
    write_joined(report, name, circuit);
}

/// What is joined as one stem after the other goes through its positions and stays at the last, with a hose on each port in turn.
fn write_joined(report: &mut Report, name: &str, circuit: &Circuit) {
    let assembly = Assembly::new(circuit.clone(), Rig::usual());
    let graph = &assembly.graph;
    let mut lineup = Lineup::normal(graph);
    let hose = assembly.rigged.low_hose;
    let (mut said, mut lineups) = (String::new(), 0);
    for (joint, found) in graph.joints_with_ids() {
        for &position in found.positions() {
            lineup.set(graph, joint, position);
            for (port, _) in graph.ports_with_ids() {
                lineup.attached = vec![Attached { hose, port }];
                said +=
                    &format!("{:?} {:?}\n", port_reach(graph, port, &lineup), Sections::new(graph, &lineup));
                lineups += 1;
            }
        }
    }
    report.digest(&format!("{name}, {lineups} lineups joined"), &said);
}
