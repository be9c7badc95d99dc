//! The table of rules.

mod acceptance;
mod adaptor_lead;
mod aerial_distance;
mod baggage_mass;
mod bare_pickup;
mod board_edge;
mod board_parts;
mod branch_level;
mod brick_heat;
mod brick_load;
mod brief_wish;
mod case_foam;
mod chain_loss;
mod clear_height;
mod clearance;
mod crossing_lead;
mod earth_loop;
mod expression;
mod fastening;
mod feed_conflict;
mod feedback_ring;
mod field_distance;
mod foot_presses;
mod foot_room;
mod gain_sum;
mod input_level;
mod insert_open;
mod insert_swapped;
mod junction_loss;
mod latency;
mod lead_apart;
mod lead_bend;
mod lead_cable;
mod lead_cores;
mod lead_gone;
mod lead_label;
mod lead_long;
mod lead_over_edge;
mod lead_short;
mod lead_way;
mod lid_height;
mod loom_level;
mod loose_adaptor;
mod mains_frequency;
mod mains_plug;
mod mains_voltage;
mod mass;
mod midi_channel;
mod midi_jack;
mod midi_time;
mod mono_feed;
mod no_feed;
mod not_placed;
mod outlet_load;
mod outlet_setting;
mod pair;
mod panel_holes;
mod panel_nuts;
mod parallel_load;
mod passage_edge;
mod passage_fill;
mod phantom;
mod piezo_input;
mod plug_fit;
mod polarity;
mod port_doubly_fed;
mod port_unconnected;
mod positive_ground;
mod row_distance;
mod service_port;
mod shared_outlet;
mod socket_covered;
mod start_surge;
mod supply_barrel;
mod supply_drop;
mod supply_nature;
mod supply_sign;
mod supply_voltage;
mod switch_distance;
mod switch_pop;
mod tails_in_loop;
mod tipping;
mod treble_loss;
mod unisolated_outlet;
mod volume_value;

use crate::Rule;

/// The source of what the trade does without anyone having written it down.
pub(crate) const CUSTOM: &str = "common practice, no source";

pub(crate) use acceptance::RULE as ACCEPTANCE;

/// Every rule, in the order of the work: room, power, signal, carrying, the brief, acceptances.
pub const RULES: &[&Rule] = &[
    &not_placed::RULE,
    &clearance::RULE,
    &board_parts::RULE,
    &board_edge::RULE,
    &case_foam::RULE,
    &clear_height::RULE,
    &lid_height::RULE,
    &service_port::RULE,
    &foot_room::RULE,
    &switch_distance::RULE,
    &row_distance::RULE,
    &field_distance::RULE,
    &aerial_distance::RULE,
    &passage_edge::RULE,
    &tipping::RULE,
    &panel_holes::RULE,
    &panel_nuts::RULE,
    &no_feed::RULE,
    &feed_conflict::RULE,
    &outlet_setting::RULE,
    &outlet_load::RULE,
    &brick_load::RULE,
    &supply_nature::RULE,
    &supply_voltage::RULE,
    &supply_sign::RULE,
    &crossing_lead::RULE,
    &supply_barrel::RULE,
    &pair::RULE,
    &shared_outlet::RULE,
    &unisolated_outlet::RULE,
    &positive_ground::RULE,
    &start_surge::RULE,
    &mains_voltage::RULE,
    &mains_frequency::RULE,
    &mains_plug::RULE,
    &socket_covered::RULE,
    &supply_drop::RULE,
    &brick_heat::RULE,
    &loose_adaptor::RULE,
    &port_unconnected::RULE,
    &port_doubly_fed::RULE,
    &insert_open::RULE,
    &insert_swapped::RULE,
    &plug_fit::RULE,
    &lead_short::RULE,
    &lead_long::RULE,
    &lead_way::RULE,
    &lead_over_edge::RULE,
    &lead_bend::RULE,
    &lead_apart::RULE,
    &loom_level::RULE,
    &passage_fill::RULE,
    &adaptor_lead::RULE,
    &lead_cable::RULE,
    &lead_cores::RULE,
    &lead_gone::RULE,
    &lead_label::RULE,
    &bare_pickup::RULE,
    &parallel_load::RULE,
    &volume_value::RULE,
    &piezo_input::RULE,
    &junction_loss::RULE,
    &chain_loss::RULE,
    &treble_loss::RULE,
    &polarity::RULE,
    &latency::RULE,
    &branch_level::RULE,
    &feedback_ring::RULE,
    &mono_feed::RULE,
    &gain_sum::RULE,
    &switch_pop::RULE,
    &input_level::RULE,
    &tails_in_loop::RULE,
    &phantom::RULE,
    &earth_loop::RULE,
    &expression::RULE,
    &midi_channel::RULE,
    &midi_jack::RULE,
    &midi_time::RULE,
    &foot_presses::RULE,
    &mass::RULE,
    &baggage_mass::RULE,
    &fastening::RULE,
    &brief_wish::RULE,
    &acceptance::RULE,
];

/// The rule with this name.
pub fn rule(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}
