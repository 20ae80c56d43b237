//! Work of a date against the hours of the people on shift: by part of the day, by skill, and in
//! the stretch where it is tightest.

use std::collections::BTreeMap;

use planner::problem::Span;

use super::{AheadSkill, AheadTask, Tight};
use crate::desk::day_build::{Inputs, Job, OnShift, Work};

/// A part of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Before anybody plays.
    BeforePlay,
    /// From the first to the last play.
    Between,
    /// After the last play.
    AfterPlay,
    /// Whenever there is time.
    AnyTime,
}

/// The parts in order.
pub const PARTS: [Part; 4] = [
    Part::BeforePlay,
    Part::Between,
    Part::AfterPlay,
    Part::AnyTime,
];

impl Part {
    /// Its word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::BeforePlay => "before_play",
            Self::Between => "between",
            Self::AfterPlay => "after_play",
            Self::AnyTime => "any_time",
        }
    }
}

/// The work of a date and the hours for it, person-seconds.
pub struct Load {
    /// From the first to the last play.
    play: Option<Span>,
    cover: BTreeMap<Part, i64>,
    cover_of_skill: BTreeMap<String, i64>,
    work: BTreeMap<Part, i64>,
    work_of_skill: BTreeMap<String, i64>,
    tasks: BTreeMap<String, (usize, i64)>,
    crews: Vec<Cover>,
    /// Each job: from when, until when, and the least work it can be.
    least: Vec<(Span, i64)>,
}

/// The hours of one crew.
struct Cover {
    shift: Span,
    hands: i64,
    /// Of its shift, without breaks, s.
    paid_s: i64,
}

impl Cover {
    /// What the crew can work in this stretch. A break is taken out in proportion, for it may lie
    /// anywhere in the shift; counted up from the shift's start, so that parts sum to the whole.
    fn within(&self, span: Span) -> i64 {
        let length = (self.shift[1] - self.shift[0]).max(1);
        let until = |end: i64| {
            (end.clamp(self.shift[0], self.shift[1]) - self.shift[0]) * self.paid_s * self.hands
                / length
        };
        (until(span[1]) - until(span[0])).max(0)
    }
}

impl Load {
    /// The hours of the crews on shift, and no work yet.
    pub fn of(inputs: &Inputs, work: &Work, play: Option<Span>) -> Self {
        let mut load = Self {
            play,
            cover: BTreeMap::new(),
            cover_of_skill: BTreeMap::new(),
            work: BTreeMap::new(),
            work_of_skill: BTreeMap::new(),
            tasks: BTreeMap::new(),
            crews: Vec::new(),
            least: Vec::new(),
        };
        for on in &work.crews {
            load.add_crew(inputs, on);
        }
        load
    }

    fn add_crew(&mut self, inputs: &Inputs, on: &OnShift) {
        let shift = on.crew.shift;
        let rest: i64 = on.crew.breaks.iter().map(|rest| rest.length_s).sum();
        let cover = Cover {
            shift,
            hands: on.crew.hands,
            paid_s: (shift[1] - shift[0] - rest).max(0),
        };
        for (part, span) in self.spans() {
            *self.cover.entry(part).or_default() += cover.within(span);
        }
        let people = inputs
            .hands
            .iter()
            .filter(|hand| hand.shift_id == on.shift_id);
        for skill in people.flat_map(|hand| &hand.skills.0) {
            *self.cover_of_skill.entry(skill.clone()).or_default() += cover.paid_s;
        }
        self.crews.push(cover);
    }

    /// The parts as stretches of the date's clock; without play it is all between.
    fn spans(&self) -> [(Part, Span); 3] {
        let [first, last] = self.play.unwrap_or([i64::MIN, i64::MAX]);
        [
            (Part::BeforePlay, [i64::MIN, first]),
            (Part::Between, [first, last]),
            (Part::AfterPlay, [last, i64::MAX]),
        ]
    }

    /// Adds a job: its usual way, with as few people as it takes.
    pub fn add(&mut self, job: &Job) {
        let usual = job.ways.iter().min_by_key(|(way, _)| way.extra_cost);
        let Some((way, _)) = usual else { return };
        let work_s = job.usual_work_s();
        *self.work.entry(self.part_of(job)).or_default() += work_s;
        for skill in &way.skills {
            *self.work_of_skill.entry(skill.clone()).or_default() += work_s;
        }
        let (first, last) = (job.windows.first(), job.windows.last());
        if let (Some(first), Some(last)) = (first, last) {
            self.least.push(([first[0], last[1]], job.least_work_s()));
        }
        let (places, of_task) = self.tasks.entry(job.title.clone()).or_default();
        *places += 1;
        *of_task += work_s;
    }

    /// The one part in which all of a job's windows lie.
    fn part_of(&self, job: &Job) -> Part {
        let Some([first, last]) = self.play else {
            return Part::AnyTime;
        };
        if job.windows.iter().all(|window| window[1] <= first) {
            Part::BeforePlay
        } else if job.windows.iter().all(|window| window[0] >= last) {
            Part::AfterPlay
        } else if job
            .windows
            .iter()
            .all(|window| window[0] >= first && window[1] <= last)
        {
            Part::Between
        } else {
            Part::AnyTime
        }
    }

    /// All the work.
    pub fn work_s(&self) -> i64 {
        self.work.values().sum()
    }

    /// All the hours.
    pub fn cover_s(&self) -> i64 {
        self.cover.values().sum()
    }

    /// The work that can be done only in this part.
    pub fn work_in(&self, part: Part) -> i64 {
        self.work.get(&part).copied().unwrap_or(0)
    }

    /// The hours in this part.
    pub fn cover_in(&self, part: Part) -> Option<i64> {
        (part != Part::AnyTime).then(|| self.cover.get(&part).copied().unwrap_or(0))
    }

    /// The stretch of the date in which the work that must lie in it outgrows the hours most, even
    /// where every job takes its shortest way; none where it never does. No plan can fit that work.
    pub fn tight(&self) -> Option<Tight> {
        let mut begins: Vec<i64> = self.least.iter().map(|(span, _)| span[0]).collect();
        let mut ends: Vec<i64> = self.least.iter().map(|(span, _)| span[1]).collect();
        for times in [&mut begins, &mut ends] {
            times.sort_unstable();
            times.dedup();
        }
        let stretches = begins.iter().flat_map(|from| {
            let after = ends.iter().filter(move |until| *until > from);
            after.map(move |until| [*from, *until])
        });
        let tight = stretches.map(|span| Tight {
            span,
            work_s: self.must_lie_in(span),
            cover_s: self.crews.iter().map(|crew| crew.within(span)).sum(),
        });
        tight
            .filter(|tight| tight.work_s > tight.cover_s)
            // Of equals the shorter says more.
            .max_by_key(|tight| (tight.work_s - tight.cover_s, tight.span[0] - tight.span[1]))
    }

    fn must_lie_in(&self, span: Span) -> i64 {
        let inside = |of: &Span| of[0] >= span[0] && of[1] <= span[1];
        let lying = self.least.iter().filter(|(of, _)| inside(of));
        lying.map(|(_, work_s)| work_s).sum()
    }

    /// What takes a skill, by its word.
    pub fn skills(&self) -> Vec<AheadSkill> {
        let works = self.work_of_skill.iter();
        works
            .map(|(skill, work_s)| AheadSkill {
                skill: skill.clone(),
                work_s: *work_s,
                cover_s: self.cover_of_skill.get(skill).copied().unwrap_or(0),
            })
            .collect()
    }

    /// What is due, the most work first.
    pub fn tasks(&self) -> Vec<AheadTask> {
        let mut tasks: Vec<AheadTask> = self
            .tasks
            .iter()
            .map(|(title, (places, work_s))| AheadTask {
                title: title.clone(),
                places: *places,
                work_s: *work_s,
            })
            .collect();
        tasks.sort_by_key(|task| std::cmp::Reverse(task.work_s));
        tasks
    }
}
