//! What a rule says, on its way to becoming a [`Check`].

use std::borrow::Cow;

use crate::answer::{Check, Figure, Verdict};
use crate::case::shown;

/// A rule's word.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Word {
    pub verdict: Verdict,
    sentence: Saying,
    /// Absent where there is none, as always in silence: a small word is soon made and soon gone.
    beside: Option<Box<Beside>>,
}

/// What stands beside a sentence.
#[derive(Debug, Clone, PartialEq, Default)]
struct Beside {
    figures: Vec<Figure>,
    margin: Option<f64>,
    /// What to do or know before the animal leaves, although the rule is passed.
    note: Option<Cow<'static, str>>,
}

/// A sentence, or silence where verdicts alone are wanted: wording thousands of units that nobody
/// reads would take longer than judging them.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Saying(pub Option<Cow<'static, str>>);

impl From<&'static str> for Saying {
    fn from(text: &'static str) -> Self {
        Self(Some(Cow::Borrowed(text)))
    }
}

impl From<String> for Saying {
    fn from(text: String) -> Self {
        Self(Some(Cow::Owned(text)))
    }
}

/// Words a sentence, unless the case is judged quietly.
macro_rules! say {
    ($case:expr, $($words:tt)*) => {
        if $case.is_aloud() {
            $crate::word::Saying::from(format!($($words)*))
        } else {
            $crate::word::Saying(None)
        }
    };
}
pub(crate) use say;

impl Word {
    pub fn of(verdict: Verdict, sentence: impl Into<Saying>) -> Self {
        Self { verdict, sentence: sentence.into(), beside: None }
    }

    fn beside(&mut self) -> &mut Beside {
        self.beside.get_or_insert_default()
    }

    /// Adds what to do or know before the animal leaves.
    pub fn noting(mut self, note: impl Into<Saying>) -> Self {
        if let Saying(Some(note)) = note.into() {
            self.beside().note = Some(note);
        }
        self
    }

    pub fn pass(sentence: impl Into<Saying>) -> Self {
        Self::of(Verdict::Pass, sentence)
    }

    pub fn fail(sentence: impl Into<Saying>) -> Self {
        Self::of(Verdict::Fail, sentence)
    }

    pub fn cannot_check(sentence: impl Into<Saying>) -> Self {
        Self::of(Verdict::CannotCheck, sentence)
    }

    /// Adds two figures; the margin is what is left of the first pair given.
    pub fn comparing(mut self, name: &str, needed: Option<f64>, available: Option<f64>, unit: &str) -> Self {
        if self.sentence.0.is_none() {
            return self;
        }
        let beside = self.beside();
        if let (Some(needed), Some(available), None) = (needed, available, beside.margin) {
            beside.margin = Some(shown(available - needed));
        }
        beside.figures.push(Figure {
            name: name.to_owned(),
            needed: needed.map(shown),
            available: available.map(shown),
            unit: unit.to_owned(),
        });
        self
    }

    /// The worse of two words on the same rule: the graver verdict, then the smaller margin, then
    /// the first.
    pub fn or_worse(self, other: Self) -> Self {
        let margin =
            |word: &Self| word.beside.as_ref().and_then(|beside| beside.margin).unwrap_or(f64::INFINITY);
        let other_is_worse = match other.verdict.cmp(&self.verdict) {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => margin(&other) < margin(&self),
            std::cmp::Ordering::Less => false,
        };
        if other_is_worse { other } else { self }
    }

    /// The worst of words on the same rule. In silence only verdicts are wanted, and nothing is worse than
    /// the first failure.
    pub fn worst_of(words: impl IntoIterator<Item = Self>, aloud: bool) -> Option<Self> {
        let mut worst: Option<Self> = None;
        for word in words {
            if !aloud && word.verdict == Verdict::Fail {
                return Some(word);
            }
            worst = Some(match worst {
                Some(worst) => worst.or_worse(word),
                None => word,
            });
        }
        worst
    }

    pub fn into_check(self, code: &str) -> Check {
        let Beside { figures, margin, note } = self.beside.map(|beside| *beside).unwrap_or_default();
        Check {
            code: code.to_owned(),
            verdict: self.verdict,
            figures,
            margin,
            sentence: self.sentence.0.map(Cow::into_owned).unwrap_or_default(),
            note: note.map(Cow::into_owned),
            waived_by: None,
        }
    }
}
