//! Rows that no door of the API makes by itself.

use diesel::connection::SimpleConnection;
use roundhand::store::{Conn, Error};

use super::House;

/// One planned work order on a court, in a plan that was replaced, with the rows it stands on.
const PLANNED_ORDER: &str = "
    INSERT INTO plan_runs (site_id, work_date, state, seed, limit_s, inputs_digest, problem,
            stop_asked, requested_by, created_at)
        SELECT s.site_id, s.work_date, 'taken', 1, 1, 'digest', '{}', FALSE,
            (SELECT MIN(id) FROM users), '2031-06-10 09:00:00'
        FROM shifts s WHERE s.id = (SELECT MIN(id) FROM shifts);
    INSERT INTO day_plans (site_id, work_date, state, plan_run_id, cost_cents, lower_bound_cents,
            created_at, version)
        SELECT site_id, work_date, 'replaced', id, 0, 0, '2031-06-10 09:00:00', 1 FROM plan_runs;
    INSERT INTO rounds (site_id, day_plan_id, crew_id, shift_id, leaves_at, returns_at, kit)
        SELECT d.site_id, d.id, s.crew_id, s.id, s.starts_at, s.ends_at, '[]'
        FROM day_plans d, shifts s WHERE s.id = (SELECT MIN(id) FROM shifts);
    INSERT INTO work_orders (site_id, day_plan_id, round_id, crew_id, work_date, court_id, position,
            visit_key, kind, state, planned_start, planned_end, due_at, version)
        SELECT r.site_id, r.day_plan_id, r.id, r.crew_id, '2031-06-10',
            (SELECT MIN(id) FROM courts WHERE site_id = r.site_id), 1, 'visit', 'care', 'planned',
            r.leaves_at, r.returns_at, r.returns_at, 1
        FROM rounds r;
";

/// Runs statements that both engines know.
pub fn db_run(house: &House, sql: &str) -> Result<(), Error> {
    house.office.db.write_shared(|conn| match conn {
        Conn::Sqlite(conn) => Ok(conn.batch_execute(sql)?),
        Conn::Pg(conn) => Ok(conn.batch_execute(sql)?),
    })
}

/// Lays a planned work order: it is seen by all who see orders, and can be neither started nor
/// finished.
pub fn db_planned_order(house: &House) {
    db_run(house, PLANNED_ORDER).expect("an order can be laid");
}
