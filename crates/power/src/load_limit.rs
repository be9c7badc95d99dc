//! What banks and bricks give together, as far as it is less than what their outlets could.

use crate::input::{Bank, Brick, Input, Outlet, Rules, Setting, share_of};

/// What a bank or brick gives, where its outlets can give more.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct LoadLimit {
    /// The load above which to stop.
    pub(crate) stop: Option<i64>,
    /// The load above which to look.
    pub(crate) look: Option<i64>,
    /// The load above which to stop, whether or not the outlets can give so much.
    pub(crate) over: i64,
}

impl LoadLimit {
    fn new(limit: Option<i64>, most: i64, rules: &Rules) -> Self {
        let Some(limit) = limit else { return Self::default() };
        let (look, stop) = (share_of(limit, rules.brick_look_ppm), share_of(limit, rules.brick_stop_ppm));
        Self {
            stop: (stop < most).then_some(stop),
            look: (look < most && look < stop).then_some(look),
            over: stop,
        }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.stop.is_none() && self.look.is_none()
    }
}

/// The limits of all banks and bricks.
pub(crate) struct LoadLimits {
    pub(crate) banks: Vec<LoadLimit>,
    pub(crate) bricks: Vec<LoadLimit>,
}

impl LoadLimits {
    pub(crate) fn new(input: &Input, settings: &[Vec<Setting>]) -> Self {
        let most = |belongs: &dyn Fn(&Outlet) -> bool, gives: &dyn Fn(&Setting) -> i64| {
            let own = input.outlets.iter().zip(settings).filter(|(outlet, _)| belongs(outlet));
            own.map(|(_, settings)| {
                let each = settings.iter().map(gives).max().unwrap_or(0);
                share_of(each, input.rules.outlet_stop_ppm)
            })
            .fold(0, i64::saturating_add)
        };
        let of_bank = |(bank, limit): (usize, &Bank)| {
            let most = most(&|outlet| outlet.bank == Some(bank), &|setting| setting.ua);
            LoadLimit::new(Some(limit.limit_ua), most, &input.rules)
        };
        let of_brick = |(brick, limit): (usize, &Brick)| {
            let most =
                most(&|outlet| outlet.brick == brick, &|setting| setting.mv.saturating_mul(setting.ua));
            LoadLimit::new(limit.limit_nw, most, &input.rules)
        };
        Self {
            banks: input.banks.iter().enumerate().map(of_bank).collect(),
            bricks: input.bricks.iter().enumerate().map(of_brick).collect(),
        }
    }

    /// Whether it makes a difference to a feed that it comes from this brick.
    pub(crate) fn matters(&self, input: &Input, brick: usize) -> bool {
        let of = &input.bricks[brick];
        !self.bricks[brick].is_empty() || of.intake_nw.is_some() || input.need(&of.tag).is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Means;
    use crate::model::Model;

    /// Two bricks of one outlet each.
    fn two_bricks() -> Input {
        let brick = |tag: &str| Brick { tag: tag.to_owned(), ..Brick::default() };
        let outlet = |brick: usize| Outlet {
            name: "1".to_owned(),
            brick,
            settings: vec![Setting { mv: 9_000, ua: 100_000 }],
            ..Outlet::default()
        };
        Input {
            bricks: vec![brick("P1"), brick("P2")],
            outlets: vec![outlet(0), outlet(1)],
            ..Input::default()
        }
    }

    fn classes(input: &Input) -> usize {
        Model::new(input, Means::ALL, false).classes.len()
    }

    #[test]
    fn outlets_of_two_bricks_are_alike_unless_it_matters_which_brick_it_is() {
        let mut input = two_bricks();
        assert_eq!(classes(&input), 1);
        // More than the outlet can give is no limit; 0.9 W and a little less is one.
        input.bricks[0].limit_nw = Some(2 * 9_000 * 100_000);
        assert_eq!(classes(&input), 1);
        input.bricks[0].limit_nw = Some(9_000 * 100_000 / 2);
        assert_eq!(classes(&input), 2);
        let mut input = two_bricks();
        input.outlets.iter_mut().for_each(|outlet| outlet.parallel = Some(true));
        assert_eq!(classes(&input), 2);
    }
}
