//! What "cheapest" is to mean, as it is typed.

use stemwise_service::plan::Aim;

use super::PlanError;

/// Reads "refrigerant", "time", "turns", or a mix like "1 per g, 2 per min, 20 per turn".
pub(crate) fn aim(typed: &str) -> Result<Aim, PlanError> {
    let unknown = || PlanError::UnknownCost { typed: typed.chars().take(80).collect() };
    match typed.trim().to_lowercase().as_str() {
        "refrigerant" => return Ok(Aim::REFRIGERANT),
        "time" => return Ok(Aim::TIME),
        "turns" => return Ok(Aim::TURNS),
        _ => {}
    }
    let mut mix = Aim { gram: 0.0, minute: 0.0, turn: 0.0 };
    for part in typed.split(',') {
        let (price, unit) = part.trim().split_once(" per ").ok_or_else(unknown)?;
        let price: f64 =
            price.trim().parse().ok().filter(|price| (0.0..1e9).contains(price)).ok_or_else(unknown)?;
        match unit.trim() {
            "g" => mix.gram = price,
            "min" => mix.minute = price,
            "turn" => mix.turn = price,
            _ => return Err(unknown()),
        }
    }
    if mix.gram + mix.minute + mix.turn > 0.0 { Ok(mix) } else { Err(unknown()) }
}

/// The same in a sentence.
pub(super) fn sentence(aim: &Aim) -> String {
    match *aim {
        Aim::REFRIGERANT => "the least refrigerant that leaves the system".into(),
        Aim::TIME => "the least time".into(),
        Aim::TURNS => "the fewest stem moves".into(),
        Aim { gram, minute, turn } => {
            format!(
                "the least of {gram} for each gram that leaves the system, {minute} for each minute and {turn} for each stem move"
            )
        }
    }
}
