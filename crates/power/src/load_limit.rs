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
