from cfglint.cli.main import run

run()
