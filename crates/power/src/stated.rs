//! The feeds that the document states, as an allocation that can be judged like any other.

use rig::PortRef;

use crate::input::Input;
use crate::outcome::Feed;

/// The stated feeds, of the devices whose outlets all exist and are set.
pub fn stated(input: &Input) -> Vec<Feed> {
    let feeds = input.needs.iter().enumerate().filter_map(|(index, need)| {
        let present = need.present.as_ref()?;
        if present.kind != rig::FeedKind::Adaptor && present.outlets.len() != present.written.len() {
            return None;
        }
        let setting_mv = match present.outlets.first() {
            Some(&outlet) => input.outlets[outlet].set_mv?,
            None => 0,
        };
        let socket = need.adaptor.as_ref().and_then(|adaptor| adaptor.socket.as_ref());
        Some(Feed {
            need: index,
            kind: present.kind,
            outlets: present.outlets.clone(),
            setting_mv,
            crossing: present.crossing,
            barrel_adaptor: present.barrel_adaptor.clone().or_else(|| {
                // Made up with a plug of another size: no adaptor, but no ordinary lead either.
                let other = |at: &usize| need.adapted(&input.outlets[*at]) == Some(true);
                need.inlet_id().filter(|_| need.plug_fits == Some(true) && present.outlets.iter().any(other))
            }),
            socket: socket.map(|(strip, name)| PortRef::new(&input.strips[*strip].tag, name)),
        })
    });
    feeds.collect()
}
