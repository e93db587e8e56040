//! What was worked out a moment ago: a home is checked again after every edit, and most edits leave the leaks as they
//! are.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

/// The last answers of a function, each under all that it was asked with.
pub(crate) struct Remembered<Q, A> {
    most: usize,
    answers: Mutex<VecDeque<(Q, A)>>,
}

impl<Q: PartialEq, A: Clone> Remembered<Q, A> {
    /// Keeps so many, those asked for last.
    pub const fn of(most: usize) -> Remembered<Q, A> {
        Remembered { most, answers: Mutex::new(VecDeque::new()) }
    }

    /// The answer to a question, worked out where it is not remembered.
    pub fn answer(&self, question: Q, work_out: impl FnOnce(&Q) -> A) -> A {
        if let Some(known) = self.known(&question) {
            return known;
        }
        // Others may ask meanwhile.
        let answer = work_out(&question);
        let mut answers = self.lock();
        answers.push_front((question, answer.clone()));
        answers.truncate(self.most);
        answer
    }

    fn known(&self, question: &Q) -> Option<A> {
        let mut answers = self.lock();
        let place = answers.iter().position(|(asked, _)| asked == question)?;
        let known = answers.remove(place)?;
        let answer = known.1.clone();
        answers.push_front(known);
        Some(answer)
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, VecDeque<(Q, A)>> {
        self.answers.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use std::cell::Cell;

    #[test]
    fn what_was_asked_last_is_not_worked_out_again() {
        let (squares, worked) = (Remembered::of(2), Cell::new(0));
        let square = |of: i32| {
            squares.answer(of, |of| {
                worked.set(worked.get() + 1);
                of * of
            })
        };
        assert_eq!([3, 4, 3, 5, 3].map(square), [9, 16, 9, 25, 9]);
        assert_eq!(worked.get(), 3);
        assert_eq!((square(4), worked.get()), (16, 4));
    }
}
