//! Who is here, and who holds the controls.

use crate::guard::Role;
use std::collections::BTreeMap;

/// 128 bits that nobody guesses, as 32 hexadecimal digits.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Pass(String);

impl Pass {
    /// Draws one from the system.
    ///
    /// # Errors
    /// If the system has no randomness to give: then nobody is let in.
    pub(crate) fn draw() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; 16];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().map(|byte| format!("{byte:02x}")).collect()))
    }

    pub(crate) fn text(&self) -> &str {
        &self.0
    }
}

#[derive(Debug)]
struct Present {
    number: u64,
    role: Role,
}

/// Everybody who is connected, and the one who holds the controls.
#[derive(Default)]
pub(crate) struct Passes {
    present: BTreeMap<Pass, Present>,
    holder: Option<Pass>,
    given_out: u64,
}

/// What somebody with a pass may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    /// Nobody of that pass is here.
    Stranger,
    /// May look.
    Viewer,
    /// May stop, and take the controls.
    Teacher,
    /// May do everything.
    Holder,
}

impl Passes {
    /// Lets somebody in; the first teacher gets the controls. Returns their number.
    pub(crate) fn enter(&mut self, pass: Pass, role: Role) -> u64 {
        self.given_out += 1;
        if role == Role::Teacher && self.holder.is_none() {
            self.holder = Some(pass.clone());
        }
        self.present.insert(pass, Present { number: self.given_out, role });
        self.given_out
    }

    /// Somebody has gone; whether the controls are free thereby. The teacher who has been here longest gets them.
    pub(crate) fn leave(&mut self, pass: &Pass) -> bool {
        self.present.remove(pass);
        if self.holder.as_ref() != Some(pass) {
            return false;
        }
        let next = self.present.iter().filter(|(_, present)| present.role == Role::Teacher);
        self.holder = next.min_by_key(|(_, present)| present.number).map(|(pass, _)| pass.clone());
        true
    }

    pub(crate) fn standing(&self, shown: &str) -> Standing {
        let Some((pass, present)) = self.present.iter().find(|(pass, _)| pass.0 == shown) else {
            return Standing::Stranger;
        };
        match present.role {
            Role::Viewer => Standing::Viewer,
            Role::Teacher if self.holder.as_ref() == Some(pass) => Standing::Holder,
            Role::Teacher => Standing::Teacher,
        }
    }

    /// A teacher takes the controls, from whoever has them.
    pub(crate) fn take(&mut self, shown: &str) {
        if let Some((pass, _)) = self.present.iter().find(|(pass, _)| pass.0 == shown) {
            self.holder = Some(pass.clone());
        }
    }

    /// Number of the one who holds the controls.
    pub(crate) fn holder(&self) -> Option<u64> {
        self.holder.as_ref().and_then(|pass| self.present.get(pass)).map(|present| present.number)
    }

    /// How many are here.
    pub(crate) fn count(&self) -> usize {
        self.present.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_teacher_holds_the_controls() {
        let [one, two, three] = [0; 3].map(|_| Pass::draw().expect("the system has randomness"));
        let mut passes = Passes::default();
        passes.enter(one.clone(), Role::Viewer);
        passes.enter(two.clone(), Role::Teacher);
        passes.enter(three.clone(), Role::Teacher);
        let standing = |passes: &Passes| [&one, &two, &three].map(|pass| passes.standing(pass.text()));
        assert_eq!(standing(&passes), [Standing::Viewer, Standing::Holder, Standing::Teacher]);
        passes.take(three.text());
        assert_eq!(standing(&passes), [Standing::Viewer, Standing::Teacher, Standing::Holder]);
        assert!(passes.leave(&three));
        assert_eq!(standing(&passes), [Standing::Viewer, Standing::Holder, Standing::Stranger]);
        assert_eq!(passes.holder(), Some(2));
        assert!(passes.leave(&two) && !passes.leave(&one));
        assert_eq!((passes.holder(), passes.count()), (None, 0));
    }

    #[test]
    fn passes_are_long_and_different() {
        let (one, other) = (Pass::draw().expect("randomness"), Pass::draw().expect("randomness"));
        assert_eq!(one.text().len(), 32);
        assert!(one != other);
    }
}
