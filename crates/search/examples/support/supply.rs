//! Power supply restoration: lines and switches with faults (4th International Planning Competition, 2004, domain
//! `psr-middle-derived-predicates-adl`), read from PDDL, as a transition model of its own for the search.
//!
//! A **device** is a switch or a breaker with two sides; a **line** joins the sides of devices. Current enters a network at every closed
//! breaker and passes closed devices from one side to the other. A breaker is *affected* while current through it reaches a faulty line;
//! until one waits, which opens every affected breaker, nothing else may be done.

use stemwise_search::Model;

/// One side of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct End {
    pub(crate) device: usize,
    /// 0 or 1.
    pub(crate) side: usize,
}

/// A network and what it is to supply.
#[derive(Clone, Debug, Default)]
pub(crate) struct Supply {
    pub(crate) devices: Vec<String>,
    pub(crate) lines: Vec<String>,
    /// For each device, the lines on its two sides.
    pub(crate) on: Vec<[Vec<usize>; 2]>,
    /// For each device, the ends that its two sides are joined to.
    pub(crate) joined: Vec<[Vec<End>; 2]>,
    pub(crate) faulty: Vec<bool>,
    /// Sets of devices, one bit each.
    pub(crate) breakers: u64,
    pub(crate) closed: u64,
    /// The lines that are to be fed.
    pub(crate) wanted: Vec<usize>,
}

/// What an operator does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    Open(usize),
    Close(usize),
    /// Lets the protection open every affected breaker.
    Wait,
}

/// A device that nobody turns: lines end there.
const EARTH: &str = "earth";

impl Supply {
    pub(crate) const fn is_closed(closed: u64, device: usize) -> bool {
        closed >> device & 1 == 1
    }

    /// The lines that current comes to which leaves a closed breaker on both sides.
    fn supplied(&self, closed: u64, breaker: usize) -> Vec<bool> {
        let mut supplied = vec![false; self.lines.len()];
        let mut seen = vec![[false; 2]; self.devices.len()];
        let mut leaving: Vec<End> = [0, 1].map(|side| End { device: breaker, side }).into();
        while let Some(End { device, side }) = leaving.pop() {
            if core::mem::replace(&mut seen[device][side], true) {
                continue;
            }
            self.on[device][side].iter().for_each(|&line| supplied[line] = true);
            let through = self.joined[device][side].iter().filter(|end| Self::is_closed(closed, end.device));
            leaving.extend(through.map(|end| End { device: end.device, side: 1 - end.side }));
        }
        supplied
    }

    fn feeding(&self, closed: u64) -> impl Iterator<Item = usize> + '_ {
        let feeding = self.breakers & closed;
        (0..self.devices.len()).filter(move |&device| Self::is_closed(feeding, device))
    }

    /// The breakers through which current reaches a fault.
    pub(crate) fn affected(&self, closed: u64) -> u64 {
        let hit = |&breaker: &usize| {
            let supplied = self.supplied(closed, breaker);
            supplied.iter().zip(&self.faulty).any(|(&supplied, &faulty)| supplied && faulty)
        };
        self.feeding(closed).filter(hit).fold(0, |set, breaker| set | 1 << breaker)
    }

    /// Whether every wanted line has current.
    fn all_fed(&self, closed: u64) -> bool {
        let mut fed = vec![false; self.lines.len()];
        for breaker in self.feeding(closed) {
            for (fed, supplied) in fed.iter_mut().zip(self.supplied(closed, breaker)) {
                *fed |= supplied;
            }
        }
        self.wanted.iter().all(|&line| fed[line])
    }
}

impl Model for Supply {
    type State = u64;
    type Action = Step;

    fn successors(&self, &closed: &u64, out: &mut Vec<(Step, u64, u64)>) {
        let affected = self.affected(closed);
        if affected != 0 {
            out.push((Step::Wait, 1, closed & !affected));
            return;
        }
        for device in (0..self.devices.len()).filter(|&device| self.devices[device] != EARTH) {
            let step = if Self::is_closed(closed, device) { Step::Open(device) } else { Step::Close(device) };
            out.push((step, 1, closed ^ 1 << device));
        }
    }

    fn is_goal(&self, &closed: &u64) -> bool {
        self.affected(closed) == 0 && self.all_fed(closed)
    }

    fn quick_bound(&self, closed: &u64) -> u64 {
        u64::from(!self.is_goal(closed))
    }
}

/// A form of PDDL: a word, or a list of forms.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Form {
    Word(String),
    List(Vec<Form>),
}

impl Form {
    fn word(&self) -> &str {
        match self {
            Self::Word(word) => word,
            Self::List(_) => "",
        }
    }
    fn list(&self) -> &[Self] {
        match self {
            Self::Word(_) => &[],
            Self::List(list) => list,
        }
    }
    /// The list within this one that begins with a word.
    fn part(&self, head: &str) -> Result<&[Self], String> {
        let found =
            self.list().iter().find(|form| form.list().first().is_some_and(|word| word.word() == head));
        found.map(|form| &form.list()[1..]).ok_or_else(|| format!("there is no ({head} …)"))
    }
    fn words(&self) -> Vec<&str> {
        self.list().iter().map(Self::word).collect()
    }
}

fn parse(text: &str) -> Result<Form, String> {
    let mut lists = vec![Vec::new()];
    let without_comments = text.lines().map(|line| line.split(';').next().unwrap_or("")).collect::<Vec<_>>();
    let spaced = without_comments.join("\n").to_lowercase().replace('(', " ( ").replace(')', " ) ");
    for token in spaced.split_whitespace() {
        let form = match token {
            "(" => {
                lists.push(Vec::new());
                continue;
            }
            ")" if lists.len() > 1 => Form::List(lists.pop().unwrap_or_default()),
            ")" => return Err("one bracket too many is closed".into()),
            word => Form::Word(word.into()),
        };
        lists.last_mut().ok_or("no list is open")?.push(form);
    }
    match (lists.len(), lists.pop().unwrap_or_default().as_slice()) {
        (1, [only]) => Ok(only.clone()),
        _ => Err("it is not one whole form".into()),
    }
}

fn place(names: &[String], name: &str) -> Result<usize, String> {
    names.iter().position(|known| known == name).ok_or_else(|| format!("nothing is called \"{name}\""))
}

impl Supply {
    /// Reads a problem of the domain.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let form = parse(text)?;
        let mut supply = Self { devices: vec![EARTH.into()], ..Self::default() };
        supply.objects(form.part(":objects")?)?;
        supply.on = supply.devices.iter().map(|_| [Vec::new(), Vec::new()]).collect();
        supply.joined = supply.on.iter().map(|_| [Vec::new(), Vec::new()]).collect();
        supply.faulty = vec![false; supply.lines.len()];
        form.part(":init")?.iter().try_for_each(|fact| supply.fact(&fact.words()))?;
        form.part(":goal")?.iter().try_for_each(|goal| supply.goal(goal))?;
        Ok(supply)
    }

    /// Names before `- DEVICE` and `- LINE`.
    fn objects(&mut self, forms: &[Form]) -> Result<(), String> {
        let words: Vec<&str> = forms.iter().map(Form::word).collect();
        let mut names = Vec::new();
        let mut at = words.iter();
        while let Some(&word) = at.next() {
            match (word, names.len()) {
                ("-", _) => match at.next() {
                    Some(&"device") => self.devices.append(&mut names),
                    Some(&"line") => self.lines.append(&mut names),
                    other => return Err(format!("there are no objects of type {other:?}")),
                },
                _ => names.push(word.to_owned()),
            }
        }
        if self.devices.len() <= 64 { Ok(()) } else { Err("more than 64 devices".into()) }
    }

    fn fact(&mut self, words: &[&str]) -> Result<(), String> {
        match *words {
            ["breaker", device] => self.breakers |= 1 << place(&self.devices, device)?,
            ["closed", device] => self.closed |= 1 << place(&self.devices, device)?,
            ["faulty", line] => {
                let line = place(&self.lines, line)?;
                self.faulty[line] = true;
            }
            ["ext", line, device, side] => {
                let (line, end) = (place(&self.lines, line)?, self.end(device, side)?);
                self.on[end.device][end.side].push(line);
            }
            ["con", one, side, other, other_side] => {
                let (one, other) = (self.end(one, side)?, self.end(other, other_side)?);
                self.joined[one.device][one.side].push(other);
            }
            _ => return Err(format!("{words:?} is no fact of this domain")),
        }
        Ok(())
    }

    fn end(&self, device: &str, side: &str) -> Result<End, String> {
        let side = match side {
            "side1" => 0,
            "side2" => 1,
            other => return Err(format!("\"{other}\" is no side")),
        };
        Ok(End { device: place(&self.devices, device)?, side })
    }

    /// `and` of what is to be fed, and of no breaker being affected, which every goal of the domain asks.
    fn goal(&mut self, goal: &Form) -> Result<(), String> {
        match goal.list() {
            [head, rest @ ..] if head.word() == "and" => rest.iter().try_for_each(|goal| self.goal(goal)),
            [head, line] if head.word() == "fed" => {
                self.wanted.push(place(&self.lines, line.word())?);
                Ok(())
            }
            [head, _, _] if head.word() == "forall" => Ok(()),
            _ => Err(format!("{goal:?} is no goal of this domain")),
        }
    }
}
