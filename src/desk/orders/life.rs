//! The life of an order: which event leads from which state to which, as one value.

use serde_json::json;

use crate::desk::{Error, Result};
use crate::store::orders::{OrderEvent, OrderState};

use OrderState::{Finished, Issued, LeftUndone, Planned, UnderWay, Withdrawn};

/// Each event with the states it may find an order in, and the state it leaves it in; none where it stays as it is.
///
/// What is taken back is with its crew again; where the crew had started it, a further `started` follows. What was withdrawn
/// behind the back of a crew that did it all the same is with the crew again before it is finished.
pub const LIFE: &[(OrderEvent, &[OrderState], Option<OrderState>)] = &[
    (OrderEvent::Issued, &[Planned], Some(Issued)),
    (OrderEvent::Withdrawn, &[Planned, Issued], Some(Withdrawn)),
    (OrderEvent::Started, &[Issued], Some(UnderWay)),
    (OrderEvent::Finished, &[Issued, UnderWay], Some(Finished)),
    (
        OrderEvent::LeftUndone,
        &[Issued, UnderWay],
        Some(LeftUndone),
    ),
    (OrderEvent::Retimed, &[Planned, Issued], None),
    (OrderEvent::HandedOver, &[Issued, UnderWay], None),
    (OrderEvent::TakenBack, &[Finished, LeftUndone], Some(Issued)),
    (OrderEvent::Reinstated, &[Withdrawn], Some(Issued)),
];

/// The state an order is in after `event`; [`Error::State`] where it cannot happen to it now.
pub fn after(state: OrderState, event: OrderEvent) -> Result<OrderState> {
    let row = LIFE.iter().find(|(kind, ..)| *kind == event);
    match row {
        Some((_, from, to)) if from.contains(&state) => Ok(to.unwrap_or(state)),
        Some((_, from, _)) => {
            let from: Vec<_> = from.iter().map(|state| plain(*state)).collect();
            let detail = format!(
                "the work order is {}; it can be {} only while it is {}",
                plain(state),
                plain_event(event),
                from.join(" or "),
            );
            let values = [("state", json!(state)), ("event", json!(event))];
            Err(Error::state_of(("order_state", values), detail))
        }
        None => Err(Error::state(format!("nothing leads on from {state}"))),
    }
}

fn plain(state: OrderState) -> String {
    state.as_str().replace('_', " ")
}

fn plain_event(event: OrderEvent) -> String {
    event.as_str().replace('_', " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_event_stands_once_in_the_table() {
        for event in OrderEvent::ALL {
            let rows = LIFE.iter().filter(|(kind, ..)| kind == event).count();
            assert_eq!(rows, 1, "{event}");
        }
    }

    #[test]
    fn a_closed_order_stays_as_it_was_given_back_unless_that_is_taken_back() {
        for state in [Finished, LeftUndone, Withdrawn] {
            let opens = |event: &&OrderEvent| match state {
                Withdrawn => **event == OrderEvent::Reinstated,
                _ => **event == OrderEvent::TakenBack,
            };
            for event in OrderEvent::ALL {
                if opens(&event) {
                    assert_eq!(after(state, *event).unwrap(), Issued);
                    continue;
                }
                let refused = after(state, *event).unwrap_err().to_string();
                assert!(refused.contains(&plain(state)), "{refused}");
            }
        }
    }

    #[test]
    fn an_order_may_be_finished_by_a_crew_that_never_said_it_started() {
        assert_eq!(after(Issued, OrderEvent::Finished).unwrap(), Finished);
        assert_eq!(after(UnderWay, OrderEvent::Finished).unwrap(), Finished);
        assert!(after(Planned, OrderEvent::Started).is_err());
        assert!(after(UnderWay, OrderEvent::Started).is_err());
    }
}
