-- A task that a site takes up later counts from then where it was never done: it is not overdue on its first day.
ALTER TABLE care_tasks ADD COLUMN taken_up_on DATE;
