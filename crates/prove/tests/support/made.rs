//! Small circuits made from a number: plausible parts, any mixture of valves.

/// A stream of numbers from a seed (the constants are Knuth's MMIX generator).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66);
        dice.roll(2);
        dice
    }
    pub(crate) fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }
    fn chance(&mut self, percent: u64) -> bool {
        self.roll(100) < percent
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.roll(10_001) as f64 / 10_000.0)
    }
}

struct Maker {
    dice: Dice,
    text: String,
    walk: Vec<String>,
    port_on: bool,
}

impl Maker {
    fn part(&mut self, kind: &str, place: &str, litres: f64) {
        self.text.push_str(&format!(
            "[part.{kind}]\nkind = \"{kind}\"\nplace = \"{place}\"\nvolume = \"{litres:.3} L\"\n\n"
        ));
        self.walk.push(kind.into());
    }

    fn line(&mut self, name: &str, kind: &str, place: &str) {
        let metres = self.dice.between(0.3, 12.0);
        let size = ["3/8 in", "1/2 in", "5/8 in"][self.dice.roll(3) as usize];
        self.text.push_str(&format!(
            "[line.{name}]\nkind = \"{kind}\"\nplace = \"{place}\"\nsize = \"{size}\"\nlength = \"{metres:.2} m\"\n\n"
        ));
        self.walk.push(name.into());
    }

    fn valve(&mut self, name: &str, kind: &str, more: &str) {
        self.text.push_str(&format!("[valve.{name}]\nkind = \"{kind}\"\n{more}\n"));
        self.walk.push(name.into());
    }

    /// Perhaps a valve that someone can shut.
    fn perhaps_valve(&mut self, name: &str, percent: u64) {
        if self.dice.chance(percent) {
            let kind = if self.dice.chance(60) { "ball-valve" } else { "hand-valve" };
            self.valve(name, kind, "");
        }
    }

    fn port(&mut self, name: &str, on: &str, percent: u64) {
        if self.dice.chance(percent) {
            self.port_on = true;
            self.text.push_str(&format!("[port.{name}]\non = \"{on}\"\nfitted = \"brazed\"\n\n"));
        }
    }

    fn high_side(&mut self) -> bool {
        if self.dice.chance(70) {
            self.valve("discharge-valve", "service-valve", "on = \"compressor\"\n");
        }
        self.line("discharge-line", "discharge", "plant-room");
        let litres = self.dice.between(1.0, 4.0);
        self.part("condenser", "plant-room", litres);
        let receiver = self.dice.chance(65);
        if receiver {
            self.line("condensate-line", "liquid", "plant-room");
            if self.dice.chance(60) {
                self.valve("queen", "service-valve", "on = \"receiver\"\n");
            }
            let litres = self.dice.between(4.0, 9.0);
            self.part("receiver", "plant-room", litres);
            if self.dice.chance(85) {
                self.valve("king", "service-valve", "on = \"receiver\"\n");
            }
        }
        receiver
    }

    fn liquid_side(&mut self) {
        self.line("liquid-line", "liquid", "plant-room");
        self.perhaps_valve("drier-inlet-valve", 40);
        if self.dice.chance(75) {
            let litres = self.dice.between(0.1, 0.5);
            self.part("drier", "plant-room", litres);
            self.port("drier-port", "drier", 50);
            self.perhaps_valve("drier-outlet-valve", 60);
            self.line("long-liquid-line", "liquid", "plant-room");
        }
        if self.dice.chance(50) {
            let energised = if self.dice.chance(80) { "" } else { "manual-opener = true\n" };
            self.valve("solenoid", "solenoid-valve", &format!("minimum-opening = \"0.05 bar\"\n{energised}"));
            self.line("valve-feed", "liquid", "cold-room");
        }
        let kind = ["thermostatic-valve", "electronic-valve", "orifice"][self.dice.roll(3) as usize];
        self.valve("metering", kind, "");
    }

    fn low_side(&mut self) {
        let litres = self.dice.between(1.0, 3.0);
        self.part("evaporator", "cold-room", litres);
        self.port("evaporator-port", "evaporator", 30);
        self.line("suction-line", "suction", "plant-room");
        self.perhaps_valve("suction-shut-off", 25);
        if self.dice.chance(25) {
            self.line("accumulator-line", "suction", "plant-room");
            let litres = self.dice.between(1.0, 3.0);
            self.part("accumulator", "plant-room", litres);
        }
        if self.dice.chance(75) {
            self.line("last-suction-line", "suction", "plant-room");
            self.valve("suction-valve", "service-valve", "on = \"compressor\"\n");
        } else {
            self.line("last-suction-line", "suction", "plant-room");
            self.port("suction-port", "last-suction-line", 80);
        }
    }
}

/// The file of a circuit.
pub(crate) fn circuit(seed: u64) -> String {
    let mut maker = Maker { dice: Dice::new(seed), text: String::new(), walk: Vec::new(), port_on: false };
    let refrigerant = ["R-134a", "R-290", "R-32", "R-600a", "R-410A", "R-407C"][maker.dice.roll(6) as usize];
    let cut_out = if maker.dice.chance(60) { "low-cut-out = \"0.1 bar\"\n" } else { "" };
    let litres = maker.dice.between(1.0, 4.0);
    maker.walk.push("compressor".into());
    let compressor = format!(
        "[part.compressor]\nkind = \"compressor\"\nplace = \"plant-room\"\nvolume = \"{litres:.3} L\"\nhead-volume = \"0.15 L\"\n{cut_out}\n"
    );
    let receiver = maker.high_side();
    maker.liquid_side();
    maker.low_side();
    let dense = match refrigerant {
        "R-290" | "R-600a" => 0.45,
        _ => 1.0,
    };
    let charge = dense * if receiver { maker.dice.between(1.5, 4.0) } else { maker.dice.between(0.8, 1.6) };
    let walk: Vec<String> = maker.walk.iter().map(|name| format!("\"{name}\"")).collect();
    format!(
        "schema = 1\nname = \"Made from {seed}\"\nnote = \"Invented.\"\nrefrigerant = \"{refrigerant}\"\ncharge = \"{charge:.3} kg\"\n\
         capacity = \"3 kW\"\ndesign = {{ high = \"42 bar\", low = \"25 bar\" }}\n\n\
         [place.plant-room]\ntemperature = \"26 C\"\nrange = [\"10 C\", \"40 C\"]\n\n\
         [place.cold-room]\ntemperature = \"4 C\"\nrange = [\"0 C\", \"30 C\"]\n\n{compressor}{}\
         [[walk]]\nalong = [{}, \"compressor\"]\n",
        maker.text,
        walk.join(", ")
    )
}
