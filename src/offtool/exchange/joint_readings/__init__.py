"""Tests of assembled joints as they are written down, read from CSV and XLSX."""

from offtool.exchange.joint_readings.read import read_joint_test
from offtool.exchange.joint_readings.table import JointTestReading, JointTestTable

__all__ = ["JointTestReading", "JointTestTable", "read_joint_test"]
